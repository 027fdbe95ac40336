#include <gtest/gtest.h>

#include "stillpoint/nmea/nmea_test_support.h"

namespace stillpoint::nmea {
namespace {

// kind: published   source: the GSV example of many descriptions of NMEA 0183,
// its checksum included; from memory. tolerance: rounding of doubles
TEST(Gsv, EveryFieldOfTheUsualExample) {
  const auto sentence = parse_sentence(
      "$GPGSV,2,1,08,01,40,083,46,02,17,308,41,12,07,344,39,14,22,228,45*75");
  ASSERT_TRUE(sentence.has_value());
  const Gsv gsv = std::get<Gsv>(sentence->value);
  EXPECT_EQ(gsv.talker, "GP");
  EXPECT_EQ(gsv.total, 2);
  EXPECT_EQ(gsv.index, 1);
  EXPECT_EQ(gsv.satellites_in_view, 8);
  EXPECT_FALSE(gsv.signal_id.has_value());
  ASSERT_EQ(gsv.satellites.size(), 4U);
  const int numbers[] = {1, 2, 12, 14};
  const double elevations[] = {40, 17, 7, 22};
  const double azimuths[] = {83, 308, 344, 228};
  const double strengths[] = {46, 41, 39, 45};
  for (std::size_t k = 0; k < 4; ++k) {
    const SatelliteInView& seen = gsv.satellites[k];
    EXPECT_EQ(seen.number, numbers[k]);
    EXPECT_EQ(seen.sat,
              (SatId{System::kGps, static_cast<std::uint8_t>(numbers[k])}));
    EXPECT_NEAR(seen.elevation_rad.value(), elevations[k] * kDeg, 1e-15);
    EXPECT_NEAR(seen.azimuth_rad.value(), azimuths[k] * kDeg, 1e-14);
    EXPECT_EQ(seen.cn0_dbhz, strengths[k]);
  }
}

TEST(Gsv, TheSignalIsAHexadecimalDigitBehindTheList) {
  const Gsv gsv = decoded<Gsv>("GAGSV,1,1,01,11,,,42.5,A");
  EXPECT_EQ(gsv.signal_id, 10);
  ASSERT_EQ(gsv.satellites.size(), 1U);
  EXPECT_EQ(gsv.satellites[0].sat->text(), "E11");
  EXPECT_FALSE(gsv.satellites[0].elevation_rad ||
               gsv.satellites[0].azimuth_rad);
  EXPECT_EQ(gsv.satellites[0].cn0_dbhz, 42.5);
  EXPECT_EQ(decoded<Gsv>("GQGSV,1,1,00,0").signal_id, 0);
  EXPECT_FALSE(decoded<Gsv>("GQGSV,1,1,00,").signal_id.has_value());
}

TEST(Gsv, NothingInViewIsAnEmptyList) {
  const Gsv gsv = decoded<Gsv>("GBGSV,1,1,00");
  EXPECT_EQ(gsv.satellites_in_view, 0);
  EXPECT_TRUE(gsv.satellites.empty());
}

TEST(Gsv, EmptyPlacesFillUpShortLists) {
  const Gsv gsv = decoded<Gsv>("GLGSV,3,3,09,88,05,010,,,,,,,,,,,,,");
  ASSERT_EQ(gsv.satellites.size(), 1U);
  EXPECT_EQ(gsv.satellites[0].sat->text(), "R24");
  EXPECT_FALSE(gsv.satellites[0].cn0_dbhz.has_value());
}

TEST(Gsv, NumbersOfNobodyStayAsTheyWereSent) {
  const Gsv gsv = decoded<Gsv>("GNGSV,1,1,01,201,10,20,30");
  ASSERT_EQ(gsv.satellites.size(), 1U);
  EXPECT_EQ(gsv.satellites[0].number, 201);
  EXPECT_FALSE(gsv.satellites[0].sat.has_value());
}

TEST(Gsv, DamagedOnesAreRefused) {
  for (const char* body : {"GPGSV,1,1,01,,10,20,30",
                           "GPGSV,1,1,01,1,10",
                           "GPGSV,1,1,01,1,10,20,30,10",
                           "GPGSV,1,1,01,1,10,20,30,G",
                           "GPGSV,1,1,05,1,,,,2,,,,3,,,,4,,,,5,,,",
                           "GPGSV,a,1,01"}) {
    EXPECT_EQ(refused(body).code, ErrorCode::kBadFormat) << body;
  }
  for (const char* body : {"GPGSV,1,2,01,1,10,20,30",
                           "GPGSV,1,0,01,1,10,20,30",
                           "GPGSV,,,01,1,10,20,30",
                           "GPGSV,1,,01,1,10,20,30",
                           "GPGSV,100,1,01,1,10,20,30",
                           "GPGSV,1,1,01,0,10,20,30",
                           "GPGSV,1,1,01,1,91,20,30",
                           "GPGSV,1,1,01,1,10,361,30",
                           "GPGSV,1,1,01,1,10,20,100"}) {
    EXPECT_EQ(refused(body).code, ErrorCode::kOutOfRange) << body;
  }
}

}  // namespace
}  // namespace stillpoint::nmea

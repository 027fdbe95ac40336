#include <gtest/gtest.h>

#include "stillpoint/nmea/nmea_test_support.h"

namespace stillpoint::nmea {
namespace {

// kind: published   source: the GGA example of many descriptions of NMEA 0183,
// its checksum included; from memory. tolerance: rounding of doubles
TEST(Gga, EveryFieldOfTheUsualExample) {
  const auto sentence = parse_sentence(
      "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n");
  ASSERT_TRUE(sentence.has_value());
  EXPECT_EQ(sentence->talker, "GP");
  EXPECT_EQ(sentence->type, "GGA");
  ASSERT_EQ(sentence->kind(), Kind::kGga);
  const Gga gga = std::get<Gga>(sentence->value);
  EXPECT_EQ(gga.utc_s, 12 * 3600 + 35 * 60 + 19);
  EXPECT_NEAR(gga.lat_rad.value(), (48 + 7.038 / 60) * kDeg, 1e-15);
  EXPECT_NEAR(gga.lon_rad.value(), (11 + 31.0 / 60) * kDeg, 1e-15);
  EXPECT_EQ(gga.quality, FixQuality::kSingle);
  EXPECT_EQ(gga.satellites, 8);
  EXPECT_EQ(gga.hdop, 0.9);
  EXPECT_EQ(gga.altitude_m, 545.4);
  EXPECT_EQ(gga.geoid_separation_m, 46.9);
  EXPECT_NEAR(gga.ellipsoidal_height_m().value(), 592.3, 1e-9);
  EXPECT_FALSE(gga.correction_age_s.has_value());
  EXPECT_FALSE(gga.reference_id.has_value());
}

TEST(Gga, SouthAndWestAreNegative) {
  const Gga gga = decoded<Gga>(
      "GNGGA,000000.00,3351.12345,S,15112.5,W,4,12,1.1,-3.25,M,-22.5,M,1.5,"
      "0042");
  EXPECT_NEAR(gga.lat_rad.value(), -(33 + 51.12345 / 60) * kDeg, 1e-15);
  EXPECT_NEAR(gga.lon_rad.value(), -(151 + 12.5 / 60) * kDeg, 1e-15);
  EXPECT_EQ(gga.utc_s, 0);
  EXPECT_EQ(gga.quality, FixQuality::kRtkFixed);
  EXPECT_EQ(gga.altitude_m, -3.25);
  EXPECT_EQ(gga.ellipsoidal_height_m(), -25.75);
  EXPECT_EQ(gga.correction_age_s, 1.5);
  EXPECT_EQ(gga.reference_id, 42);
}

TEST(Gga, EmptyFieldsAreNoValue) {
  const Gga gga = decoded<Gga>("GPGGA,,,,,,,,,,,,,,");
  EXPECT_FALSE(gga.utc_s || gga.lat_rad || gga.lon_rad || gga.quality ||
               gga.satellites || gga.hdop || gga.altitude_m ||
               gga.geoid_separation_m || gga.correction_age_s ||
               gga.reference_id || gga.ellipsoidal_height_m());
  // Letters and units without a number.
  const Gga units = decoded<Gga>("GPGGA,,,N,,E,0,00,,,M,,M,,");
  EXPECT_FALSE(units.lat_rad || units.lon_rad || units.altitude_m);
  EXPECT_EQ(units.quality, FixQuality::kInvalid);
  EXPECT_EQ(units.satellites, 0);
}

TEST(Gga, HeightNeedsBothItsParts) {
  EXPECT_FALSE(decoded<Gga>("GPGGA,,,,,,1,,,10,M,,,,").ellipsoidal_height_m());
  EXPECT_FALSE(decoded<Gga>("GPGGA,,,,,,1,,,,,45,M,,").ellipsoidal_height_m());
}

TEST(Gga, TheLeapSecondLiesBehindItsDay) {
  EXPECT_EQ(decoded<Gga>("GPGGA,235960.50,,,,,,,,,,,,,").utc_s, 86'400.5);
  EXPECT_EQ(decoded<Gga>("GPGGA,235959.999,,,,,,,,,,,,,").utc_s, 86'399.999);
}

TEST(Gga, AQualityWithoutANameStaysWhatItIs) {
  EXPECT_EQ(decoded<Gga>("GPGGA,,,,,,9,,,,,,,,").quality,
            static_cast<FixQuality>(9));
}

TEST(Gga, PolesAndDateLineAreWithin) {
  const Gga gga = decoded<Gga>("GPGGA,,9000.0,S,18000.0,E,,,,,,,,,");
  EXPECT_NEAR(gga.lat_rad.value(), -90 * kDeg, 1e-15);
  EXPECT_NEAR(gga.lon_rad.value(), 180 * kDeg, 1e-15);
}

// kind: published   source: the RMC example of many descriptions of NMEA 0183,
// its checksum included; from memory. tolerance: rounding of doubles; a knot
// is 1852 m/h by definition
TEST(Rmc, EveryFieldOfTheUsualExample) {
  const auto sentence = parse_sentence(
      "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A");
  ASSERT_TRUE(sentence.has_value());
  const Rmc rmc = std::get<Rmc>(sentence->value);
  EXPECT_EQ(rmc.utc_s, 45'319);
  EXPECT_EQ(rmc.status, RmcStatus::kValid);
  EXPECT_NEAR(rmc.lat_rad.value(), (48 + 7.038 / 60) * kDeg, 1e-15);
  EXPECT_NEAR(rmc.lon_rad.value(), (11 + 31.0 / 60) * kDeg, 1e-15);
  EXPECT_NEAR(rmc.speed_mps.value(), 22.4 * 1852 / 3600, 1e-12);
  EXPECT_NEAR(rmc.course_rad.value(), 84.4 * kDeg, 1e-15);
  EXPECT_EQ(rmc.date, (Date{1994, 3, 23}));
  EXPECT_FALSE(rmc.mode.has_value());  // older than 2.3
}

TEST(Rmc, NewerEditionsHaveAModeAndMore) {
  const Rmc rmc = decoded<Rmc>("GNRMC,084159.00,V,,,,,0.000,,291124,,,R,V");
  EXPECT_EQ(rmc.status, RmcStatus::kWarning);
  EXPECT_FALSE(rmc.lat_rad || rmc.lon_rad || rmc.course_rad);
  EXPECT_EQ(rmc.speed_mps, 0);
  EXPECT_EQ(rmc.date, (Date{2024, 11, 29}));
  EXPECT_EQ(rmc.mode, PositionMode::kRtkFixed);
}

TEST(Rmc, TwoDigitsOfTheYearAreOfOurCentury) {
  EXPECT_EQ(decoded<Rmc>("GPRMC,,,,,,,,,311279,,").date->year, 2079);
  EXPECT_EQ(decoded<Rmc>("GPRMC,,,,,,,,,060180,,").date->year, 1980);
  EXPECT_EQ(decoded<Rmc>("GPRMC,,,,,,,,,290200,,").date, (Date{2000, 2, 29}));
}

// kind: published   source: the GST example of receiver manuals, its checksum
// included; from memory
TEST(Gst, EveryFieldOfAnExample) {
  const auto sentence = parse_sentence(
      "$GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.020,0.031*6A\r\n");
  ASSERT_TRUE(sentence.has_value());
  const Gst gst = std::get<Gst>(sentence->value);
  EXPECT_EQ(gst.utc_s, 17 * 3600 + 28 * 60 + 14);
  EXPECT_EQ(gst.rms_m, 0.006);
  EXPECT_EQ(gst.semi_major_m, 0.023);
  EXPECT_EQ(gst.semi_minor_m, 0.020);
  EXPECT_NEAR(gst.orientation_rad.value(), 273.6 * kDeg, 1e-15);
  EXPECT_EQ(gst.lat_sigma_m, 0.023);
  EXPECT_EQ(gst.lon_sigma_m, 0.020);
  EXPECT_EQ(gst.alt_sigma_m, 0.031);
}

TEST(Gst, EmptyFieldsAreNoValue) {
  const Gst gst = decoded<Gst>("GLGST,,,,,,,,");
  EXPECT_FALSE(gst.utc_s || gst.rms_m || gst.semi_major_m || gst.semi_minor_m ||
               gst.orientation_rad || gst.lat_sigma_m || gst.lon_sigma_m ||
               gst.alt_sigma_m);
}

TEST(Sentence, OthersAreKnownByTalkerAndType) {
  const auto gll = parse_sentence(frame_sentence("GNGLL,3203.9,N,,,,A,D"));
  ASSERT_TRUE(gll.has_value());
  EXPECT_EQ(gll->kind(), Kind::kOther);
  EXPECT_EQ(gll->talker + " " + gll->type, "GN GLL");
  const auto maker = parse_sentence(frame_sentence("PDEMO,GGA,1"));
  ASSERT_TRUE(maker.has_value());
  EXPECT_EQ(maker->kind(), Kind::kOther);
  EXPECT_EQ(maker->talker + " " + maker->type, "P DEMO");
  const auto ais =
      parse_sentence("!" + frame_sentence("AIVDM,1,1,,A,x,0").substr(1));
  ASSERT_TRUE(ais.has_value());
  EXPECT_EQ(ais->talker + " " + ais->type, "AI VDM");
}

}  // namespace
}  // namespace stillpoint::nmea

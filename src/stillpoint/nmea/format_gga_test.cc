#include "stillpoint/nmea/format_gga.h"

#include <gtest/gtest.h>

#include <limits>
#include <random>

#include "stillpoint/nmea/nmea_test_support.h"

namespace stillpoint::nmea {
namespace {

std::string body(const Gga& gga) {
  const auto text = format_gga(gga);
  EXPECT_TRUE(text.has_value());
  return text ? text->substr(0, text->find('*')) : "";
}

Gga parsed(const std::string& text) {
  const auto sentence = parse_sentence(text);
  EXPECT_TRUE(sentence.has_value()) << text;
  return sentence ? std::get<Gga>(sentence->value) : Gga{};
}

// kind: cross   source: the layout of GGA, written out by hand
TEST(FormatGga, FieldsStandInTheirPlaces) {
  Gga gga;
  gga.utc_s = 12 * 3600 + 35 * 60 + 19.25;
  gga.lat_rad = -(48 + 7.038 / 60) * kDeg;
  gga.lon_rad = (1 + 3.5 / 60) * kDeg;
  gga.quality = FixQuality::kSingle;
  gga.satellites = 8;
  gga.hdop = 0.94;
  gga.altitude_m = 545.4;
  gga.geoid_separation_m = -6.9;
  EXPECT_EQ(body(gga),
            "$GPGGA,123519.25,4807.0380000,S,00103.5000000,E,1,08,0.9,545.40,M,"
            "-6.90,M,,");
  EXPECT_TRUE(format_gga(gga, "GN")->starts_with("$GNGGA,123519.25,"));
}

TEST(FormatGga, NoValueIsEmpty) {
  EXPECT_EQ(format_gga(Gga{}).value(), "$GPGGA,,,,,,,,,,,,,,*56\r\n");
}

TEST(FormatGga, RoundingCarriesOver) {
  Gga gga;
  gga.lat_rad = (10 - 1e-12) * kDeg;
  gga.lon_rad = -1e-12 * kDeg;
  gga.utc_s = 3599.999;
  EXPECT_TRUE(body(gga).starts_with(
      "$GPGGA,010000.00,1000.0000000,N,00000.0000000,W,"));
  gga.utc_s = 86'399.999;
  EXPECT_TRUE(body(gga).starts_with("$GPGGA,000000.00,"));
  gga.utc_s = 86'400.25;
  EXPECT_TRUE(body(gga).starts_with("$GPGGA,235960.25,"));
  gga.utc_s = 86'400.999;
  EXPECT_TRUE(body(gga).starts_with("$GPGGA,235960.99,"));
}

TEST(FormatGga, ReadsBackWhatItWrote) {
  std::mt19937 random(20261125);
  const auto any = [&random](double low, double high) {
    return std::uniform_real_distribution<>(low, high)(random);
  };
  for (int k = 0; k < 2000; ++k) {
    Gga gga;
    gga.utc_s = any(0, 86'400);
    gga.lat_rad = any(-90, 90) * kDeg;
    gga.lon_rad = any(-180, 180) * kDeg;
    gga.quality = FixQuality::kRtkFixed;
    gga.satellites = static_cast<int>(any(0, 99));
    gga.hdop = any(0, 9);
    gga.altitude_m = any(-99, 999);
    gga.geoid_separation_m = any(-99, 99);
    const Gga again = parsed(format_gga(gga).value());
    // Half of the last digit: 1e-2 s, 1e-6 minutes (one decimal less where a
    // sign needs the room), 0.1 and 0.01.
    EXPECT_NEAR(
        *again.utc_s, *gga.utc_s < 86'399.995 ? *gga.utc_s : 0, 0.00501);
    EXPECT_NEAR(*again.lat_rad, *gga.lat_rad, 0.501e-5 / 60 * kDeg);
    EXPECT_NEAR(*again.lon_rad, *gga.lon_rad, 0.501e-5 / 60 * kDeg);
    EXPECT_EQ(again.satellites, gga.satellites);
    EXPECT_NEAR(*again.hdop, *gga.hdop, 0.0501);
    EXPECT_NEAR(*again.altitude_m, *gga.altitude_m, 0.00501);
    EXPECT_NEAR(*again.geoid_separation_m, *gga.geoid_separation_m, 0.00501);
  }
}

// kind: published   source: NMEA 0183, longest sentence 82 characters with its
// line end, from memory
TEST(FormatGga, IsNeverLongerThanASentenceMayBe) {
  Gga gga;
  gga.utc_s = 86'400.5;
  gga.lat_rad = -89.999'999 * kDeg;
  gga.lon_rad = -179.999'999 * kDeg;
  gga.quality = static_cast<FixQuality>(9);
  gga.satellites = 99;
  gga.hdop = 1234;
  gga.altitude_m = -9999;
  gga.geoid_separation_m = -999;
  gga.correction_age_s = 999;
  gga.reference_id = 9999;
  const std::string text = format_gga(gga).value();
  EXPECT_LE(text.size(), 82U) << text;
  const Gga again = parsed(text);
  EXPECT_EQ(again.hdop, 99.9);
  EXPECT_EQ(again.altitude_m, -9999);
  EXPECT_EQ(again.geoid_separation_m, -999);
  EXPECT_EQ(again.reference_id, 9999);
}

TEST(FormatGga, ValuesThatItCannotSayAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refuses = [](auto&& change) {
    Gga gga;
    change(gga);
    const auto text = format_gga(gga);
    return !text && text.error().code == ErrorCode::kOutOfRange;
  };
  for (const double bad : {nan, 1e9, -1e9}) {
    EXPECT_TRUE(refuses([&](Gga& g) { g.utc_s = bad; })) << bad;
    EXPECT_TRUE(refuses([&](Gga& g) { g.lat_rad = bad; })) << bad;
    EXPECT_TRUE(refuses([&](Gga& g) { g.lon_rad = bad; })) << bad;
    EXPECT_TRUE(refuses([&](Gga& g) { g.altitude_m = bad; })) << bad;
    EXPECT_TRUE(refuses([&](Gga& g) { g.geoid_separation_m = bad; })) << bad;
    EXPECT_TRUE(refuses([&](Gga& g) { g.correction_age_s = bad; })) << bad;
  }
  EXPECT_TRUE(refuses([&](Gga& g) { g.hdop = nan; }));
  EXPECT_TRUE(refuses([](Gga& g) { g.hdop = -1; }));
  EXPECT_TRUE(refuses([](Gga& g) { g.satellites = 100; }));
  EXPECT_TRUE(refuses([](Gga& g) { g.reference_id = -1; }));
  EXPECT_TRUE(refuses([](Gga& g) { g.quality = static_cast<FixQuality>(10); }));
  for (const char* talker : {"", "G", "gp", "G,", "GPS", "PA"}) {
    EXPECT_FALSE(format_gga(Gga{}, talker).has_value()) << talker;
  }
}

}  // namespace
}  // namespace stillpoint::nmea

#include "stillpoint/aids/antenna_patterns.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <utility>

namespace stillpoint {
namespace {

constexpr double kDeg = std::numbers::pi / 180;
const GnssTime kStart = GnssTime::from_gps_week(2341, 518'400);

// Zenith 0, 45, 90; azimuth every 90 degrees. The grid is
// 1 mm * (zenith node) * (1 + azimuth node mod 4).
AntennaPattern demo_antenna() {
  AntennaPattern antenna;
  antenna.type = "SPDEMO-A1       NONE";
  antenna.zenith_last_rad = 90 * kDeg;
  antenna.zenith_step_rad = 45 * kDeg;
  antenna.azimuth_step_rad = 90 * kDeg;
  AntennaFrequency frequency;
  frequency.number = 1;
  frequency.offset_m = {0.001, 0.002, 0.100};
  frequency.by_zenith_m = {0, 0.004F, 0.010F};
  for (int azimuth = 0; azimuth <= 4; ++azimuth) {
    for (int zenith = 0; zenith < 3; ++zenith) {
      frequency.by_azimuth_m.push_back(
          1e-3F * static_cast<float>(zenith * (1 + azimuth % 4)));
    }
  }
  antenna.frequencies.push_back(frequency);
  return antenna;
}

// kind: cross (the grid's own formula)
// tolerance: 1e-9 m, values are floats of some millimetres
TEST(AntennaPattern, IsLinearInBothAngles) {
  const AntennaPattern antenna = demo_antenna();
  const AntennaFrequency& f = antenna.frequencies[0];
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, 90 * kDeg), 2e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, 22.5 * kDeg, 90 * kDeg), 1e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, 45 * kDeg), 1.5e-3, 1e-9);
  EXPECT_NEAR(
      antenna.variation_m(f, 67.5 * kDeg, 135 * kDeg), 1.5 * 2.5e-3, 1e-9);
}

// kind: cross (the grid's own formula)
// tolerance: 1e-9 m, as above
TEST(AntennaPattern, AzimuthWrapsAndZenithIsClamped) {
  const AntennaPattern antenna = demo_antenna();
  const AntennaFrequency& f = antenna.frequencies[0];
  // Half way from 270 degrees (4 mm) to 360 (1 mm).
  for (const double turn : {315.0, -45.0, 675.0, -405.0}) {
    EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, turn * kDeg), 2.5e-3, 1e-9);
  }
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, 360 * kDeg), 1e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, 120 * kDeg, 0), 2e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, -10 * kDeg, 0), 0, 1e-9);
  // A turn that rounds to a whole one.
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, -1e-18), 1e-3, 1e-9);
}

// kind: cross (the row without azimuth)
// tolerance: 1e-9 m, as above
TEST(AntennaPattern, WithoutAzimuthsTheZenithRowCounts) {
  AntennaPattern antenna = demo_antenna();
  antenna.frequencies[0].by_azimuth_m.clear();
  const AntennaFrequency& f = antenna.frequencies[0];
  EXPECT_NEAR(antenna.variation_m(f, 67.5 * kDeg, 1), 7e-3, 1e-9);
  antenna.frequencies[0].by_zenith_m = {0.003F};
  EXPECT_NEAR(antenna.variation_m(f, 67.5 * kDeg, 1), 3e-3, 1e-9);
}

// kind: cross (by hand: straight up the whole offset shortens the range; to
// the east on the horizon only its east part, and the pattern is added)
// tolerance: 1e-9 m, as above
TEST(AntennaPattern, OffsetShortensTheRangeAndVariationIsAdded) {
  const AntennaPattern antenna = demo_antenna();
  const AntennaFrequency& f = antenna.frequencies[0];
  EXPECT_NEAR(antenna.range_correction_m(f, {0, 0, 1}), -0.100, 1e-9);
  // Azimuth 90 degrees, zenith 90: 2 * 2 mm.
  EXPECT_NEAR(antenna.range_correction_m(f, {0, 1, 0}), 0.004 - 0.002, 1e-9);
  EXPECT_NEAR(antenna.range_correction_m(f, {1, 0, 0}), 0.002 - 0.001, 1e-9);
}

// kind: cross (from the definition: a phase centre 2 m along +Z is 2 m nearer
// to the Earth, and nothing but the nadir angle matters)
// tolerance: 1e-7 m, floats of metres
TEST(AntennaPattern, SatelliteOffsetIsAlongTheBody) {
  AntennaPattern antenna = demo_antenna();
  antenna.satellite = SatId{System::kGps, 7};
  antenna.frequencies[0].offset_m = {0.3, 0, 2};
  antenna.frequencies[0].by_azimuth_m.clear();
  EXPECT_NEAR(
      antenna.range_correction_m(antenna.frequencies[0], {0, 0, 1}), -2, 1e-7);
  const double s = std::sin(10 * kDeg);
  const double c = std::cos(10 * kDeg);
  EXPECT_NEAR(antenna.range_correction_m(antenna.frequencies[0], {s, 0, c}),
              0.004 * 10 / 45 - (0.3 * s + 2 * c),
              1e-7);
}

// kind: cross (by hand: without a pattern only the projected offset is left)
// tolerance: 1e-12 m, two products of numbers of 0.1 m
TEST(AntennaPattern, WithAnOffsetOnlyTheVariationIsZero) {
  AntennaPattern antenna;
  antenna.type = "SPDEMO-A1       NONE";
  AntennaFrequency f;
  f.number = 1;
  f.offset_m = {0.001, 0.002, 0.100};
  antenna.frequencies = {f};
  for (const double angle_rad : {-1.0, 0.0, 0.7, 3.0}) {
    EXPECT_EQ(antenna.variation_m(f, angle_rad, 2 * angle_rad), 0);
  }
  EXPECT_NEAR(antenna.range_correction_m(f, {0, 0, 1}), -0.100, 1e-12);
  EXPECT_NEAR(
      antenna.range_correction_m(f, {0, 0.6, 0.8}), -0.0012 - 0.080, 1e-12);
  AntennaPatterns patterns;
  AntennaProduct product;
  product.antennas = {antenna};
  ASSERT_TRUE(patterns.add(std::move(product)));
  EXPECT_EQ(*patterns.receiver(antenna.type), antenna);
}

TEST(AntennaPatterns, ReceiversOfATypeHaveAnyRadomeAndSerial) {
  AntennaProduct first, second;
  first.antennas.assign(4, demo_antenna());
  first.antennas[1].type = "SPDEMO-A1       DOME";
  first.antennas[2].type = "SPDEMO-A11      NONE";
  first.antennas[3].satellite = SatId{System::kGps, 7};
  second.antennas = {demo_antenna(), demo_antenna()};
  second.antennas[0].serial = "4711";
  second.antennas[1].type.clear();  // a satellite without a number
  second.antennas[1].svn = "G099";
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(std::move(first)));
  ASSERT_TRUE(patterns.add(std::move(second)));
  for (const char* const type :
       {"SPDEMO-A1", "SPDEMO-A1       ", "SPDEMO-A1       XXXX"}) {
    const auto found = patterns.receivers_of_type(type);
    ASSERT_EQ(found.size(), 3U) << type;
    EXPECT_EQ(found[0]->type, "SPDEMO-A1       NONE");
    EXPECT_EQ(found[1]->type, "SPDEMO-A1       DOME");
    EXPECT_EQ(found[2]->serial, "4711");
  }
  EXPECT_TRUE(patterns.receivers_of_type("SPDEMO-A2").empty());
  EXPECT_TRUE(patterns.receivers_of_type("    ").empty());
  EXPECT_EQ(patterns.receiver("  "), nullptr);
}

TEST(AntennaPatterns, ReceiverIsFoundByExactTypeOnly) {
  AntennaProduct product;
  product.antennas = {demo_antenna(), demo_antenna(), demo_antenna()};
  product.antennas[1].serial = "4711";
  product.antennas[2].type = "SPDEMO-A2       DOME";
  product.antennas[0].date = "type mean";
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(std::move(product)));
  EXPECT_EQ(patterns.size(), 3U);
  const auto* const mean = patterns.receiver("SPDEMO-A1       NONE  ");
  ASSERT_NE(mean, nullptr);
  EXPECT_EQ(mean->date, "type mean");
  EXPECT_EQ(patterns.receiver("SPDEMO-A1       NONE", "4711")->serial, "4711");
  EXPECT_EQ(patterns.receiver("SPDEMO-A1       NONE", "4712"), mean);
  EXPECT_EQ(patterns.receiver("SPDEMO-A2       NONE"), nullptr);
  EXPECT_EQ(patterns.receiver("SPDEMO-A1"), nullptr);
  EXPECT_NE(mean->frequency(System::kGps, 1), nullptr);
  EXPECT_EQ(mean->frequency(System::kGps, 2), nullptr);
  EXPECT_EQ(mean->frequency(System::kGalileo, 1), nullptr);
}

TEST(AntennaPatterns, SatelliteIsFoundByNumberAndTime) {
  AntennaProduct product;
  product.antennas = {demo_antenna(), demo_antenna()};
  for (AntennaPattern& antenna : product.antennas) {
    antenna.satellite = SatId{System::kGps, 7};
  }
  product.antennas[0].svn = "G001";
  product.antennas[0].valid_until = kStart;
  product.antennas[1].svn = "G002";
  product.antennas[1].valid_from = kStart + Duration{1};
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(std::move(product)));
  const auto svn = [&](double s) -> std::string {
    const auto* const found =
        patterns.satellite({System::kGps, 7}, kStart + Duration{s});
    return found == nullptr ? "none" : found->svn;
  };
  EXPECT_EQ(svn(-1e6), "G001");
  EXPECT_EQ(svn(0), "G001");
  EXPECT_EQ(svn(0.5), "none");
  EXPECT_EQ(svn(1), "G002");
  EXPECT_EQ(svn(1e6), "G002");
  EXPECT_EQ(patterns.satellite({System::kGps, 8}, kStart), nullptr);
}

// kind: cross (by hand, whole days)
TEST(AntennaPatterns, NearestInTimeSaysHowFarOff) {
  constexpr double kDayS = 86'400;
  AntennaProduct first, second;
  first.antennas.assign(2, demo_antenna());
  second.antennas = {demo_antenna()};
  for (AntennaPattern* const antenna :
       {&first.antennas[0], &first.antennas[1], &second.antennas[0]}) {
    antenna->satellite = SatId{System::kGps, 7};
  }
  first.antennas[0].svn = "G001";
  first.antennas[0].valid_until = kStart;
  first.antennas[1].svn = "G002";
  first.antennas[1].valid_from = kStart + Duration{10 * kDayS};
  first.antennas[1].valid_until = kStart + Duration{20 * kDayS};
  second.antennas[0].svn = "G003";
  second.antennas[0].valid_from = kStart + Duration{5 * kDayS};
  second.antennas[0].valid_until = kStart + Duration{15 * kDayS};
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(std::move(first)));
  ASSERT_TRUE(patterns.add(std::move(second)));
  struct Row {
    double day;
    const char* svn;
    double days_off;
  };
  const Row rows[] = {{-100, "G001", 0},
                      {1, "G001", 1},
                      {4, "G003", -1},
                      {7, "G003", 0},
                      {12, "G002", 0},  // the file added first
                      {23, "G002", 3}};
  for (const Row& row : rows) {
    double days_off = 99;
    const auto* const found = patterns.satellite_nearest(
        {System::kGps, 7}, kStart + Duration{row.day * kDayS}, &days_off);
    ASSERT_NE(found, nullptr);
    EXPECT_EQ(found->svn, row.svn) << row.day;
    EXPECT_EQ(days_off, row.days_off) << row.day;
    if (row.days_off == 0) {
      EXPECT_EQ(found,
                patterns.satellite({System::kGps, 7},
                                   kStart + Duration{row.day * kDayS}));
    }
  }
  EXPECT_EQ(patterns.satellite_nearest({System::kGps, 8}, kStart), nullptr);
}

TEST(AntennaPatterns, RelativePatternsAreRefused) {
  AntennaProduct product;
  product.absolute = false;
  AntennaPatterns patterns;
  const auto added = patterns.add(std::move(product));
  ASSERT_FALSE(added);
  EXPECT_EQ(added.error().code, ErrorCode::kUnsupported);
}

}  // namespace
}  // namespace stillpoint

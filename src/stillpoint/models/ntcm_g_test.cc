#include "stillpoint/models/ntcm_g.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/klobuchar.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr std::array<double, 3> kMedium{121.1, 0.35, 0.0135};

GnssTime at_h(double hour) {
  return GnssTime::from_gps_week(2200, hour * 3600);
}

// kind: cross   source: 40.3e16 / f^2: 0.162 m of L1 code delay per TECU
// tolerance: 5e-4 m, three digits quoted
TEST(DelayOfTec, OneUnitIsSixteenCentimetresOnL1) {
  EXPECT_NEAR(delay_of_tec_m(1, kKlobucharHz), 0.162, 5e-4);
}

// kind: cross   source: definition of the shell mapping
TEST(NtcmG, ContentGrowsTowardsTheHorizon) {
  const Geodetic site{0.8, 0.2, 500};
  double before = 0;
  // Towards the pole, where the vertical content changes least.
  for (int el = 90; el >= 0; el -= 10) {
    const double tecu =
        ntcm_g_slant_tecu(kMedium, site, {0, el * kDeg}, at_h(0));
    EXPECT_GT(tecu, 0);
    if (el <= 60) {
      EXPECT_GT(tecu, 0.9 * before);
    }
    before = tecu;
  }
}

// kind: cross   source: definition; the model has no border at midnight UTC
// but the day of year, which moves the Sun by 0.4 degrees at most
// tolerance: 1 % for that step
TEST(NtcmG, GoesOnOverTheDayBorder) {
  for (int lon = -180; lon <= 180; lon += 20) {
    const Geodetic site{10 * kDeg, lon * kDeg, 0};
    const AzEl direction{1, 0.5};
    // 24 h of UTC is GPST 24 h + 18 s in 2022.
    const double h = 24 + 18.0 / 3600;
    const double before =
        ntcm_g_slant_tecu(kMedium, site, direction, at_h(h - 1e-4));
    const double after =
        ntcm_g_slant_tecu(kMedium, site, direction, at_h(h + 1e-4));
    EXPECT_NEAR(before, after, 0.01 * before) << lon;
  }
}

// kind: cross   source: definition: the longitude may be written either way
// tolerance: 1e-9 relative, rounding of sines
TEST(NtcmG, DoesNotMindAFullTurnOfLongitude) {
  const AzEl direction{1, 0.5};
  const double a =
      ntcm_g_slant_tecu(kMedium, {0.5, 3.0, 0}, direction, at_h(5));
  const double b =
      ntcm_g_slant_tecu(kMedium, {0.5, 3.0 - 2 * kPi, 0}, direction, at_h(5));
  EXPECT_NEAR(a, b, 1e-9 * a);
}

TEST(NtcmG, IsFiniteEverywhere) {
  for (int lat = -90; lat <= 90; lat += 15) {
    for (int lon = -180; lon <= 180; lon += 60) {
      for (int azimuth = 0; azimuth < 360; azimuth += 45) {
        for (const int el : {-90, 0, 1, 30, 90}) {
          const double tecu = ntcm_g_slant_tecu(kMedium,
                                                {lat * kDeg, lon * kDeg, 0},
                                                {azimuth * kDeg, el * kDeg},
                                                at_h(lon + 200));
          ASSERT_TRUE(tecu >= 0 && tecu < 1000)
              << lat << " " << lon << " " << azimuth << " " << el;
        }
      }
    }
  }
}

// kind: cross   source: header, default level for a message of zeros
TEST(NtcmG, ZerosMeanTheDefaultLevel) {
  const Geodetic site{0.8, 0.2, 500};
  EXPECT_DOUBLE_EQ(ntcm_g_slant_tecu({0, 0, 0}, site, {0, 1}, at_h(12)),
                   ntcm_g_slant_tecu({63.7, 0, 0}, site, {0, 1}, at_h(12)));
}

}  // namespace
}  // namespace stillpoint::models

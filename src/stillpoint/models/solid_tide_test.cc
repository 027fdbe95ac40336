#include "stillpoint/models/solid_tide.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

const GnssTime kTime = GnssTime::from_gps_week(2200, 200'000);

TEST(SolidTide, MeansNothingInsideTheEarth) {
  const SunMoon bodies = sun_moon(kTime);
  EXPECT_EQ(norm(solid_tide_m({}, bodies, kTime)), 0);
  EXPECT_EQ(norm(solid_tide_m({1000, 0, 0}, bodies, kTime)), 0);
  EXPECT_EQ(norm(solid_tide_m({std::nan(""), 0, 0}, bodies, kTime)), 0);
}

// kind: cross   source: the displacement is a smooth field: at the pole, where
// longitude has no meaning, it is that of a metre beside
// tolerance: 1e-6 m: tides change by less than 0.1 um a metre
TEST(SolidTide, IsSmoothAtThePoles) {
  const SunMoon bodies = sun_moon(kTime);
  for (const double z : {6'356'752.0, -6'356'752.0}) {
    const Ecef pole = solid_tide_m({0, 0, z}, bodies, kTime);
    EXPECT_GT(norm(pole), 0.001);
    for (const double angle : steps(0, 6.2, 0.7)) {
      const Ecef beside{std::cos(angle), std::sin(angle), z};
      EXPECT_NEAR(norm(solid_tide_m(beside, bodies, kTime) - pole), 0, 1e-6)
          << z << " " << angle;
    }
  }
}

// kind: cross   source: equilibrium under the Moon, h2/2 (3 - 1) of the height
// m r^4/d^3 of the potential: 0.6078 x 0.0123 x 6378 km / 60.3^3 = 0.22 m under
// the Moon at its mean distance, half of it down at a quarter turn
// tolerance: 0.03 m: the Moon's degree 3, lag and step 2
TEST(SolidTide, HasTheSizeOfTheEquilibriumTide) {
  const SunMoon moon_only{.sun_m = {1e15, 0, 0}, .moon_m = {384.4e6, 0, 0}};
  const Ecef under = solid_tide_m({6.378e6, 0, 0}, moon_only, kTime);
  EXPECT_NEAR(under.x_m, 0.217, 0.03);
  const Ecef beside = solid_tide_m({0, 6.378e6, 0}, moon_only, kTime);
  EXPECT_NEAR(beside.y_m, -0.109, 0.03);
}

// kind: published   source: IERS Conventions (2010) ch. 7: radial displacements
// reach 0.4 m, from memory
TEST(SolidTide, StaysWithinItsUsualSize) {
  double largest_m = 0;
  for (const double day : steps(0, 30, 0.13)) {
    const GnssTime t = kTime + Duration{day * 86'400};
    const Ecef d = solid_tide_m(to_ecef({0.4, day, 0}), sun_moon(t), t);
    largest_m = std::max(largest_m, norm(d));
  }
  EXPECT_GT(largest_m, 0.15);
  EXPECT_LT(largest_m, 0.5);
}

}  // namespace
}  // namespace stillpoint::models

#include "stillpoint/models/earth_rotation.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

// kind: cross   source: definition: a quarter turn carries the x axis to -y
// (the point stays in space, the axes turn east)
// tolerance: 1e-6 m of 26,560 km, rounding
TEST(RotateWithEarth, AQuarterTurn) {
  const double quarter_s = std::numbers::pi / 2 / kEarthRateRadPerS;
  const Ecef p = rotate_with_earth({26.56e6, 0, 1e6}, quarter_s);
  EXPECT_NEAR(p.x_m, 0, 1e-6);
  EXPECT_NEAR(p.y_m, -26.56e6, 1e-6);
  EXPECT_EQ(p.z_m, 1e6);
}

TEST(RotateWithEarth, KeepsLengthsAndUndoesItself) {
  const Ecef p{-1.2e7, 2.1e7, 0.9e7};
  const Ecef q = rotate_with_earth(p, 0.077);
  EXPECT_NEAR(norm(q), norm(p), 1e-8);
  EXPECT_NEAR(norm(rotate_with_earth(q, -0.077) - p), 0, 1e-8);
}

// kind: cross   source: the rotated range against the first-order formula
// tolerance: 1 mm, the second order in omega tau (5e-6 rad of 130 m)
TEST(RotateWithEarth, AgreesWithTheFirstOrderFormula) {
  const Geodetic site{0.82, 0.15, 500};
  const Ecef receiver = to_ecef(site);
  double largest_m = 0;
  for (const double angle : steps(-1.2, 1.5, 0.1)) {
    for (const double z : steps(-1.5e7, 2.0e7, 0.5e7)) {
      const double r = std::sqrt(26.56e6 * 26.56e6 - z * z);
      const Ecef satellite{r * std::cos(angle), r * std::sin(angle), z};
      double flight_s = norm(satellite - receiver) / kSpeedOfLightMps;
      double range_m = 0;
      for (int i = 0; i < 3; ++i) {
        range_m = norm(rotate_with_earth(satellite, flight_s) - receiver);
        flight_s = range_m / kSpeedOfLightMps;
      }
      const double sagnac_m = sagnac_first_order_m(satellite, receiver);
      EXPECT_NEAR(range_m, norm(satellite - receiver) + sagnac_m, 1e-3);
      largest_m = std::max(largest_m, std::abs(sagnac_m));
    }
  }
  EXPECT_GT(largest_m, 15);
  EXPECT_LT(largest_m, 42);
}

}  // namespace
}  // namespace stillpoint::models

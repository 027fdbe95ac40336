#include "stillpoint/models/relativity.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kOrbitM = 26.56e6;
constexpr double kEarthM = 6.371e6;

// kind: cross   source: straight overhead the logarithm is that of the two
// radii: 2 GM/c^2 ln(rs/rr), with 2 GM/c^2 = 8.870056 mm (twice the
// geometrised mass of the Earth, 4.435028 mm)
// tolerance: 1e-8 m
TEST(ShapiroDelay, OverheadIsTheLogarithmOfTheRadii) {
  EXPECT_NEAR(shapiro_delay_m({kOrbitM, 0, 0}, {kEarthM, 0, 0}),
              8.870056e-3 * std::log(kOrbitM / kEarthM),
              1e-8);
}

// kind: cross   source: integral of 2 GM/(c^2 r) along the straight ray, by
// Simpson's rule
// tolerance: 1e-8 m, the rule's own error with 2000 steps
TEST(ShapiroDelay, IsTheIntegralAlongTheRay) {
  const Ecef receiver{kEarthM, 0, 0};
  for (const double angle : steps(0, 1.3, 0.2)) {
    const Ecef satellite{
        kOrbitM * std::cos(angle), kOrbitM * std::sin(angle), 0};
    const Ecef ray = satellite - receiver;
    constexpr int kSteps = 2000;
    double sum = 0;
    for (int i = 0; i <= kSteps; ++i) {
      const double weight = i == 0 || i == kSteps ? 1 : (i % 2 == 1 ? 4 : 2);
      sum += weight / norm(receiver + (i / double{kSteps}) * ray);
    }
    const double integral = sum * norm(ray) / (3 * kSteps);
    EXPECT_NEAR(
        shapiro_delay_m(satellite, receiver), 8.870056e-3 * integral, 1e-8);
  }
}

TEST(ShapiroDelay, IsZeroWhereThereIsNoRay) {
  EXPECT_EQ(shapiro_delay_m({kOrbitM, 0, 0}, {0, 0, 0}), 0);
  EXPECT_EQ(shapiro_delay_m({0, 0, 0}, {0, 0, 0}), 0);
  EXPECT_EQ(shapiro_delay_m({kOrbitM, 0, 0}, {-kEarthM, 0, 0}), 0);
}

}  // namespace
}  // namespace stillpoint::models

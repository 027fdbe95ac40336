#include "stillpoint/models/ocean_loading.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/models/steps_for_tests.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

const GnssTime kStart = GnssTime::from_gps_week(2200, 12'345);

// Coefficients of a strong site, invented.
LoadingTides strong() {
  LoadingTides tides;
  for (std::size_t c = 0; c < 3; ++c) {
    const double scale = c == 0 ? 1 : 0.3;
    tides.amplitude_m[c] = {
        0.03, 0.01, 0.006, 0.003, 0.012, 0.008, 0.004, 0.002, 1e-3, 6e-4, 5e-4};
    tides.phase_rad[c] = {
        -1.2, -0.7, -1.6, -0.8, 0.9, 0.5, 0.8, 0.1, 0.2, -0.1, 0.05};
    for (double& amplitude : tides.amplitude_m[c]) {
      amplitude *= scale;
    }
  }
  return tides;
}

TEST(OceanLoading, NothingComesOfNothing) {
  const Enu d = OceanLoading({}, kStart).displacement_m(kStart);
  EXPECT_EQ(d.e_m, 0);
  EXPECT_EQ(d.n_m, 0);
  EXPECT_EQ(d.u_m, 0);
}

// kind: cross   source: the sum is linear in the coefficients
// tolerance: 1e-12 m, rounding of some hundred terms
TEST(OceanLoading, IsLinear) {
  LoadingTides up_only = strong();
  up_only.amplitude_m[1] = {};
  up_only.amplitude_m[2] = {};
  LoadingTides doubled = strong();
  for (auto& row : doubled.amplitude_m) {
    for (double& amplitude : row) {
      amplitude *= 2;
    }
  }
  const GnssTime t = kStart + Duration{40'000};
  const Enu once = OceanLoading(strong(), kStart).displacement_m(t);
  const Enu twice = OceanLoading(doubled, kStart).displacement_m(t);
  const Enu up = OceanLoading(up_only, kStart).displacement_m(t);
  EXPECT_NEAR(twice.e_m, 2 * once.e_m, 1e-12);
  EXPECT_NEAR(twice.n_m, 2 * once.n_m, 1e-12);
  EXPECT_NEAR(twice.u_m, 2 * once.u_m, 1e-12);
  EXPECT_NEAR(up.u_m, once.u_m, 1e-12);
  EXPECT_EQ(up.e_m, 0);
  EXPECT_EQ(up.n_m, 0);
  EXPECT_GT(std::abs(once.u_m), 1e-3);
}

// kind: cross   source: the same station prepared for times half a year apart
// tolerance: 1e-7 m: the phases run on with constant rates
TEST(OceanLoading, ServesHalfAYear) {
  const OceanLoading near(strong(), kStart);
  const OceanLoading far(strong(), kStart - Duration{180 * 86'400.0});
  for (const double s : steps(0, 86'400, 5000)) {
    const Enu a = near.displacement_m(kStart + Duration{s});
    const Enu b = far.displacement_m(kStart + Duration{s});
    EXPECT_NEAR(a.u_m, b.u_m, 1e-7) << s;
    EXPECT_NEAR(a.e_m, b.e_m, 1e-7) << s;
    EXPECT_NEAR(a.n_m, b.n_m, 1e-7) << s;
  }
}

TEST(OceanLoading, NamesASizeToWarnWith) {
  const double size_m = usual_loading_m({0.8, 0.1, 300});
  EXPECT_GE(size_m, 0.005);
  EXPECT_LE(size_m, 0.05);
}

}  // namespace
}  // namespace stillpoint::models

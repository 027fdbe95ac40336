#include "stillpoint/solve/ppp_noise.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::solve {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

PppRow row_at(double elevation_deg, float cn0_dbhz = 45) {
  PppRow row;
  row.elevation_rad = static_cast<float>(elevation_deg * kDeg);
  row.cn0_dbhz = cn0_dbhz;
  return row;
}

// kind: cross   the rule of ppp_noise.h by hand: variance 0.1 + 0.9 / sin^2,
// which is 3.7 at 30 degrees; sigmas of the zenith are 4 mm and 0.5 m.
// tolerance: 1e-6 of it, the elevation is a float
TEST(PppNoise, GrowsWithTheCosecant) {
  EXPECT_NEAR(phase_sigma_m(row_at(90), {}), 0.004, 4e-9);
  EXPECT_NEAR(code_sigma_m(row_at(90), {}), 0.5, 5e-7);
  EXPECT_NEAR(
      phase_sigma_m(row_at(30), {}), 0.004 * std::sqrt(3.7), 0.004 * 2e-6);
  EXPECT_NEAR(code_sigma_m(row_at(30), {}), 0.5 * std::sqrt(3.7), 1e-6);
  const TermSet flat{Term::kElevationWeights};
  EXPECT_NEAR(phase_sigma_m(row_at(10), flat), 0.004, 4e-9);
  EXPECT_GT(phase_sigma_m(row_at(5), {}), phase_sigma_m(row_at(10), {}));
  EXPECT_TRUE(std::isfinite(phase_sigma_m(row_at(-1), {})));
}

// kind: cross   10 dB are a factor of ten of the variance, counted from 36
// dB-Hz.
// tolerance: 1e-6 of it, as above
TEST(PppNoise, GrowsAsTheSignalFades) {
  EXPECT_NEAR(
      phase_sigma_m(row_at(90, 26), {}), 0.004 * std::sqrt(10.0), 0.004 * 4e-6);
  EXPECT_NEAR(phase_sigma_m(row_at(90, 36), {}), 0.004, 4e-9);
  EXPECT_NEAR(
      phase_sigma_m(row_at(90, static_cast<float>(kMissing)), {}), 0.004, 4e-9);
  const TermSet alike{Term::kCn0Weights};
  EXPECT_NEAR(phase_sigma_m(row_at(90, 20), alike), 0.004, 4e-9);
  EXPECT_TRUE(std::isfinite(code_sigma_m(row_at(90, -100), {})));
}

// kind: cross   1 / variance; what the orbit is worse by adds to the variance
// of the phase. A code counts for less than one over its own, by a share that
// is the same for all.
// tolerance: 1e-6 of it, as above
TEST(PppNoise, WeightsAreOneOverTheVariance) {
  PppRow row = row_at(90);
  row.sat = {System::kGalileo, 5};
  PppNoise noise;
  noise.phase_factor[2] = 2;
  noise.code_factor[2] = 3;
  EXPECT_NEAR(phase_weight(row, noise, {}) * 0.008 * 0.008, 1, 2e-6);
  const double share = code_weight(row, noise, {}) * 1.5 * 1.5;
  EXPECT_GT(share, 0.1);
  EXPECT_LT(share, 1);
  row.between_m = 0.006F;
  EXPECT_NEAR(phase_weight(row, noise, {}) * 0.01 * 0.01, 1, 2e-6);
  row.sat.system = System::kGps;
  row.between_m = 0;
  EXPECT_NEAR(phase_weight(row, noise, {}) * 0.004 * 0.004, 1, 2e-6);
  EXPECT_NEAR(code_weight(row, noise, {}) * 0.5 * 0.5, share, 2e-6);
  EXPECT_NEAR(code_weight(row_at(30), noise, {}) * 0.25 * 3.7, share, 4e-6);
}

}  // namespace
}  // namespace stillpoint::solve

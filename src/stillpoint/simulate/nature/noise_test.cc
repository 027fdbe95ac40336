#include "stillpoint/simulate/nature/noise.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// kind: cross
// tolerance: 1e-9, the formula by hand at 40 dB-Hz: B d / (2 C/N0) = 0.25 0.1 /
// 2e4 = 1.25e-6; 2 / ((2 - d) T C/N0) = 2 / (1.9 0.02 1e4) = 1/190
TEST(CodeSigma, IsTheFormulaWorkedByHand) {
  const double expected = 293.05 * std::sqrt(1.25e-6 * (1 + 1.0 / 190));
  EXPECT_NEAR(code_sigma_m({}, 40), expected, 1e-9);
}

// kind: cross
// tolerance: 1e-12, by hand at 40 dB-Hz: sqrt(15 / 1e4 (1 + 1 / (2 0.02 1e4)))
TEST(PhaseSigma, IsTheFormulaWorkedByHand) {
  EXPECT_NEAR(phase_sigma_rad({}, 40), std::sqrt(0.0015 * 1.0025), 1e-12);
}

// kind: published   source: pseudorange noise 0.1 to 0.3 m and phase noise 1 to
// 3 mm of geodetic receivers (shared checks section 8, from memory)
TEST(Noise, IsOfTheSizeOfRealReceivers) {
  const double wavelength_m = 0.1903;
  EXPECT_GT(code_sigma_m({}, 38), 0.1);
  EXPECT_LT(code_sigma_m({}, 50), 0.3);
  const double phase_m =
      phase_sigma_rad({}, 42) * wavelength_m / (2 * std::numbers::pi);
  EXPECT_GT(phase_m, 0.0005);
  EXPECT_LT(phase_m, 0.003);
}

TEST(Noise, GrowsAsTheSignalWeakens) {
  double last_code = 0, last_phase = 0;
  for (double cn0 = 60; cn0 >= 15; cn0 -= 1) {
    EXPECT_GT(code_sigma_m({}, cn0), last_code);
    EXPECT_GT(phase_sigma_rad({}, cn0), last_phase);
    last_code = code_sigma_m({}, cn0);
    last_phase = phase_sigma_rad({}, cn0);
  }
}

// kind: cross
// tolerance: 1e-12 dB, the three points the parabola is drawn through
TEST(Gain, GoesThroughZenithHorizonAndNadir) {
  const AntennaGain gain{-8, -22};
  EXPECT_NEAR(gain_db(gain, 90 * kDeg), 0, 1e-12);
  EXPECT_NEAR(gain_db(gain, 0), -8, 1e-12);
  EXPECT_NEAR(gain_db(gain, -90 * kDeg), -22, 1e-12);
  EXPECT_NEAR(open_sky_cn0_dbhz(50, gain, 0), 42, 1e-12);
}

TEST(Gain, FallsAllTheWayFromTheZenithDown) {
  const AntennaGain gain;
  double last = 1;
  for (int deg = 90; deg >= -90; --deg) {
    EXPECT_LT(gain_db(gain, deg * kDeg), last);
    last = gain_db(gain, deg * kDeg);
  }
}

}  // namespace
}  // namespace stillpoint::simulate

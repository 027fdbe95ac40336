#include "stillpoint/quality/code_noise.h"

#include <gtest/gtest.h>

#include <random>

#include "stillpoint/quality/signals_test_support.h"

namespace stillpoint::quality {
namespace {

GnssTime after(double s) {
  return kSessionStart + Duration{s};
}

// kind: cross
// tolerance: 4 sigma. The third differences of independent values correlate by
// -15/20, 6/20, -1/20, so that of n of them the RMS has a relative sigma of
// sqrt(2 * 2.31 / n) / 2
TEST(CodeNoise, SigmaOfIndependentNoiseComesBack) {
  std::mt19937 random(11);
  std::normal_distribution<double> normal(0, 0.4);
  CodeNoise noise;
  CodeNoiseSums sums;
  const int n = 5000;
  for (int i = 0; i < n; ++i) {
    noise.add(after(i), 5, 1e5 + normal(random), sums);
  }
  EXPECT_EQ(sums.total().count, static_cast<std::uint64_t>(n - 3));
  EXPECT_NEAR(
      sums.by_elevation[5].rms() / 0.4, 1, 4 * std::sqrt(2 * 2.31 / n) / 2);
}

// kind: cross
// tolerance: 1e-9 m, rounding: third differences of a parabola vanish
TEST(CodeNoise, IonosphereThatAcceleratesEvenlyLeavesNothing) {
  CodeNoise noise;
  CodeNoiseSums sums;
  for (int i = 0; i < 50; ++i) {
    noise.add(after(30.0 * i), 0, 3 + 0.1 * i + 0.01 * i * i, sums);
  }
  EXPECT_EQ(sums.total().count, 47U);
  EXPECT_NEAR(sums.total().rms(), 0, 1e-9);
}

TEST(CodeNoise, NothingIsFormedAcrossASlipAGapOrAnUnevenStep) {
  CodeNoise noise;
  CodeNoiseSums sums;
  const auto add = [&](double t) { noise.add(after(t), 0, t, sums); };
  add(0), add(30), add(60);
  noise.forget();
  add(90), add(120), add(150);
  EXPECT_EQ(sums.total().count, 0U);
  add(300);  // a gap
  add(330), add(360);
  EXPECT_EQ(sums.total().count, 0U);
  add(420);  // one is missing: 360 is the first of a new run
  add(480), add(540);
  EXPECT_EQ(sums.total().count, 1U);
  add(600);
  EXPECT_EQ(sums.total().count, 2U);
}

// kind: cross
// tolerance: 1e-12 m, rounding
TEST(CodeNoise, FourValuesGiveTheirThirdDifferenceOverRootTwenty) {
  CodeNoise noise;
  CodeNoiseSums sums;
  const double values[]{0, 0, 1, 0};
  for (int i = 0; i < 4; ++i) {
    noise.add(after(i), 0, values[i], sums);
  }
  EXPECT_NEAR(sums.total().rms(), 3 / std::sqrt(20), 1e-12);
}

}  // namespace
}  // namespace stillpoint::quality

#include "stillpoint/rtcm/phase_rollover.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::rtcm {
namespace {

constexpr SatId kG7{System::kGps, 7};

// A phase that drifts from its code, sent within +-750 cycles of it.
double sent(double true_phase, double code) {
  const double ahead = true_phase - code;
  return true_phase - 1500 * std::round(ahead / 1500);
}

// kind: cross, the definition of the roll-over   tolerance: 0 cycles
TEST(PhaseRollover, AnArcGoesOnOverManyRollOvers) {
  PhaseRollover rollover;
  for (int t = 0; t < 2000; ++t) {
    const double code = 1e8 + 400.0 * t;
    const double phase = code - 3.25 * t;
    EXPECT_EQ(rollover.joined(kG7, 0, sent(phase, code), code, t == 0), phase);
  }
}

TEST(PhaseRollover, NoiseOfTheCodeIsNoRollOver) {
  PhaseRollover rollover;
  for (int t = 0; t < 100; ++t) {
    const double noise = t % 2 == 0 ? 100 : -100;
    EXPECT_EQ(rollover.joined(kG7, 1, 1e8 + t, 1e8 + noise, false), 1e8 + t);
  }
}

TEST(PhaseRollover, ANewArcForgetsWhatWasAdded) {
  PhaseRollover rollover;
  rollover.joined(kG7, 0, 700, 0, true);
  EXPECT_EQ(rollover.joined(kG7, 0, -760, 0, false), 740);
  EXPECT_EQ(rollover.joined(kG7, 0, -760, 0, true), -760);
}

}  // namespace
}  // namespace stillpoint::rtcm

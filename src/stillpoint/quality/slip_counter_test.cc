#include "stillpoint/quality/slip_counter.h"

#include <gtest/gtest.h>

#include <random>

#include "stillpoint/quality/signals_test_support.h"

namespace stillpoint::quality {
namespace {

constexpr double kGapS = 60;

// A GPS satellite with up to three bands, 30 s a step, phases of 2 mm and codes
// of 0.2 m noise.
class Track {
 public:
  explicit Track(const std::vector<SignalCode>& codes, unsigned seed = 1)
      : random_(seed) {
    for (const SignalCode code : codes) {
      signals_.push_back({.code = code});
    }
  }
  MadeSignal& operator[](std::size_t i) { return signals_.at(i); }

  // One epoch; without the signal of this number.
  std::vector<PhaseVerdict> step(std::optional<std::size_t> without = {}) {
    t_s_ += step_s;
    range_m_ += 400 * step_s;
    ionosphere_m_ += drift_mps * step_s;
    std::vector<PhaseSample> samples;
    for (std::size_t i = 0; i < signals_.size(); ++i) {
      MadeSignal s = signals_[i];
      s.noise_m = 0.2 * normal_(random_);
      s.phase_noise_m = 0.002 * normal_(random_);
      const auto o = observe(System::kGps, s, range_m_, ionosphere_m_);
      const double f = *frequency_hz(System::kGps, s.code.band);
      if (i != without) {
        samples.push_back({.signal = s.code,
                           .frequency_hz = f,
                           .phase_m = o.phase_cyc * kSpeedOfLightMps / f,
                           .code_m = has_codes ? o.code_m + clock_m : kMissing,
                           .lost = s.lli == 1});
      }
      signals_[i].lli = 0;
    }
    const auto verdicts =
        counter.add(kSessionStart + Duration{t_s_}, kGapS, samples);
    return {verdicts.begin(), verdicts.end()};
  }
  // Many epochs; the slips that were told.
  int run(int epochs) {
    int slips = 0;
    for (int i = 0; i < epochs; ++i) {
      for (const PhaseVerdict& v : step()) {
        slips += v.slip ? 1 : 0;
      }
    }
    return slips;
  }

  SlipCounter counter;
  bool has_codes = true;
  double step_s = 30, drift_mps = 5e-4, clock_m = 0;

 private:
  std::mt19937 random_;
  std::normal_distribution<double> normal_;
  std::vector<MadeSignal> signals_;
  double t_s_ = 0, range_m_ = 2.2e7, ionosphere_m_ = 4;
};

const SignalCode k1C{'1', 'C'}, k2L{'2', 'L'}, k2W{'2', 'W'}, k5Q{'5', 'Q'};

TEST(SlipCounter, QuietPhasesHaveNoSlips) {
  Track two({k1C, k2W});
  EXPECT_EQ(two.run(1000), 0);
  Track four({k1C, k2L, k2W, k5Q});
  EXPECT_EQ(four.run(1000), 0);
  Track fast({k1C, k2W});
  fast.step_s = 1;
  EXPECT_EQ(fast.run(1000), 0);
}

TEST(SlipCounter, FirstEpochIsNoSlipThoughItIsFlagged) {
  Track track({k1C, k2W});
  track[0].lli = 1;
  const auto v = track.step();
  EXPECT_FALSE(v[0].tracked);
  EXPECT_FALSE(v[0].slip);
  EXPECT_TRUE(v[0].broken());
  EXPECT_FALSE(v[0].checked);
  EXPECT_TRUE(track.step()[0].checked);
}

TEST(SlipCounter, FlagOfATrackedPhaseIsItsSlipAlone) {
  Track track({k1C, k2W, k5Q});
  track.run(20);
  track[1].lli = 1;
  track[1].cycles += 1;
  const auto v = track.step();
  EXPECT_FALSE(v[0].slip);
  EXPECT_TRUE(v[1].slip);
  EXPECT_FALSE(v[2].slip);
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, OneCycleOfAnyOfThreeIsFoundThere) {
  for (std::size_t which = 0; which < 3; ++which) {
    Track track({k1C, k2W, k5Q});
    track.run(20);
    track[which].cycles += 1;
    const auto v = track.step();
    for (std::size_t i = 0; i < v.size(); ++i) {
      EXPECT_EQ(v[i].slip, i == which) << which << ' ' << i;
    }
    EXPECT_EQ(track.run(20), 0);
  }
}

TEST(SlipCounter, OfTwoPhasesTheOneWhoseCyclesFitHasSlipped) {
  for (const double cycles : {1.0, -3.0, 1000.0}) {
    for (const std::size_t which : {std::size_t{0}, std::size_t{1}}) {
      Track track({k1C, k2W});
      track.run(20);
      track[which].cycles += cycles;
      const auto v = track.step();
      EXPECT_TRUE(v[which].slip) << which << ' ' << cycles;
      EXPECT_FALSE(v[1 - which].slip) << which << ' ' << cycles;
      EXPECT_EQ(track.run(20), 0);
    }
  }
}

TEST(SlipCounter, NineAndSevenCyclesAreFoundByTheWideLaneOneEpochLate) {
  Track track({k1C, k2W});
  track.run(30);
  track[0].cycles += 9;
  track[1].cycles += 7;
  auto v = track.step();
  EXPECT_FALSE(v[0].slip);
  EXPECT_TRUE(v[0].doubtful);
  EXPECT_TRUE(v[1].doubtful);
  v = track.step();
  EXPECT_TRUE(v[0].slip);
  EXPECT_TRUE(v[1].slip);
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, ACodeThatIsWildOnceIsDoubtfulOnly) {
  Track track({k1C, k2W});
  track.run(30);
  track[0].multipath_m = 8;
  auto v = track.step();
  EXPECT_TRUE(v[0].doubtful);
  EXPECT_FALSE(v[0].slip);
  track[0].multipath_m = 0;
  v = track.step();
  EXPECT_FALSE(v[0].doubtful);
  EXPECT_FALSE(v[0].slip);
}

TEST(SlipCounter, ACodeThatStaysAsideIsNoSlipWhereAThirdPhaseVouches) {
  Track track({k1C, k2W, k5Q});
  track.run(30);
  track[0].multipath_m = 8;
  EXPECT_EQ(track.run(10), 0);
}

TEST(SlipCounter, IonosphereThatTurnsIsNoSlip) {
  Track track({k1C, k2W, k5Q});
  track.run(30);
  track.drift_mps = 6e-3;
  EXPECT_EQ(track.run(30), 0);
  track.drift_mps = -2e-3;
  EXPECT_EQ(track.run(30), 0);
}

TEST(SlipCounter, AStepThatRepeatsIsADriftThoughItWasToldAsASlip) {
  Track track({k1C, k2W});
  track.has_codes = false;  // no wide lane to tell
  track.run(30);
  track.drift_mps = 5e-2;  // a metre between the phases
  const auto v = track.step();
  EXPECT_TRUE(v[0].slip || v[1].slip);
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, ReceiverThatSetsItsClockHasNoSlips) {
  Track track({k1C, k2W});
  track.run(30);
  track.clock_m = 1e-3 * kSpeedOfLightMps;
  const auto v = track.step();
  EXPECT_TRUE(v[0].code_jump);
  EXPECT_TRUE(v[0].broken());
  EXPECT_FALSE(v[0].slip);
  EXPECT_FALSE(v[1].slip);
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, APhaseThatMissesAnEpochIsComparedAcrossIt) {
  Track track({k1C, k2W, k5Q});
  track.run(20);
  track.step(1);
  auto v = track.step();
  EXPECT_TRUE(v[1].tracked);
  EXPECT_TRUE(v[1].checked);
  EXPECT_FALSE(v[1].slip);
  track.step(1);
  track[1].cycles += 5;
  v = track.step();
  EXPECT_FALSE(v[0].slip);
  EXPECT_TRUE(v[1].slip);
  EXPECT_FALSE(v[2].slip);
}

TEST(SlipCounter, ASlipIsNotToldAgainByAPhaseThatWasAway) {
  Track track({k1C, k2W, k5Q});
  track.run(20);
  track[0].cycles += 4;
  const auto v = track.step(1);  // 1C and 5Q
  EXPECT_TRUE(v[0].slip || v[1].slip);
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, ALongGapBeginsAnew) {
  Track track({k1C, k2W});
  track.run(20);
  track.step_s = 90;
  track[0].cycles += 50;
  track[0].lli = 1;
  const auto v = track.step();
  EXPECT_FALSE(v[0].tracked);
  EXPECT_FALSE(v[0].slip);
  EXPECT_FALSE(v[1].slip);
}

TEST(SlipCounter, APhaseThatIsAloneIsHeldAgainstItsCode) {
  Track track({k1C});
  EXPECT_EQ(track.run(20), 0);
  track[0].cycles += 100;  // 19 m
  EXPECT_TRUE(track.step()[0].slip);
  track[0].cycles += 50;  // 9.5 m: not found
  EXPECT_EQ(track.run(20), 0);
}

TEST(SlipCounter, ForgottenPhasesBeginAnew) {
  Track track({k1C, k2W});
  track.run(20);
  track.counter.forget();
  track[0].cycles += 3;
  EXPECT_EQ(track.run(20), 0);
}

}  // namespace
}  // namespace stillpoint::quality

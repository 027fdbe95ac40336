#include "stillpoint/quality/slip_counter.h"

#include <algorithm>

#include "stillpoint/core/check.h"
#include "stillpoint/quality/slip_counter_parts.h"

namespace stillpoint::quality {
namespace {

// How far the distance of two phases may leave its line.
constexpr double kJumpM = 0.04;
constexpr double kJumpMps = 0.001;
// Before the drift is known, as much again: the ionosphere at low elevation.
constexpr double kUnknownDriftMps = 0.002;
// The drift is a mean over about so long, and known after it.
constexpr double kDriftS = 30;
// A receiver that sets its clock moves codes by a millisecond; nothing else
// moves them by a third of that.
constexpr double kClockStepM = kSpeedOfLightMps * 0.3e-3;
// Code against a phase that is alone.
constexpr double kAloneM = 15;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

// Melbourne-Wubbena: phases' cycles less what the codes say they are.
double wide_lane_cyc(const PhaseSample& a, const PhaseSample& b) {
  const double fa = a.frequency_hz;
  const double fb = b.frequency_hz;
  if (same_band(a, b)) {
    return kNan;
  }
  const double codes_m = (fa * a.code_m + fb * b.code_m) / (fa + fb);
  return a.phase_m / wavelength_m(a) - b.phase_m / wavelength_m(b) -
         codes_m * (fa - fb) / kSpeedOfLightMps;
}

}  // namespace

void SlipCounter::Pair::restart() {
  Pair fresh;
  fresh.first = first;
  fresh.second = second;
  *this = fresh;
}

SlipCounter::Pair& SlipCounter::pair_of(SignalCode a, SignalCode b) {
  const auto found = std::find_if(pairs_.begin(), pairs_.end(), [&](auto& p) {
    return p.first == a && p.second == b;
  });
  if (found != pairs_.end()) {
    return *found;
  }
  Pair& made = pairs_.emplace_back();
  made.first = a;
  made.second = b;
  return made;
}

void SlipCounter::judge_phases(GnssTime t,
                               double longest_gap_s,
                               std::span<const PhaseSample> samples) {
  verdicts_.assign(samples.size(), {});
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const PhaseSample& s = samples[i];
    PhaseVerdict& verdict = verdicts_[i];
    const double difference_m = s.code_m - s.phase_m;
    auto phase = std::find_if(phases_.begin(), phases_.end(), [&](auto& p) {
      return p.signal == s.signal;
    });
    if (phase == phases_.end()) {
      phase = phases_.insert(phases_.end(), Phase{s.signal, t, kNan});
    } else {
      verdict.tracked = (t - phase->last).s <= longest_gap_s;
      verdict.slip = verdict.tracked && s.lost;
      verdict.code_moved_m = std::abs(difference_m - phase->code_minus_phase_m);
      verdict.code_jump = verdict.code_moved_m > kClockStepM;
    }
    *phase = {s.signal, t, difference_m};
  }
}

void SlipCounter::make_tests(GnssTime t,
                             double longest_gap_s,
                             std::span<const PhaseSample> samples) {
  tests_.clear();
  // All pairs are made before pointers to them are kept.
  for (std::size_t a = 0; a < samples.size(); ++a) {
    for (std::size_t b = a + 1; b < samples.size(); ++b) {
      pair_of(samples[a].signal, samples[b].signal);
    }
  }
  for (std::size_t a = 0; a < samples.size(); ++a) {
    for (std::size_t b = a + 1; b < samples.size(); ++b) {
      Test test;
      test.a = a;
      test.b = b;
      test.pair = &pair_of(samples[a].signal, samples[b].signal);
      const Pair& pair = *test.pair;
      test.distance_m = samples[a].phase_m - samples[b].phase_m;
      test.lane = wide_lane_cyc(samples[a], samples[b]);
      test.step_s = (t - pair.last).s;
      if (pair.last == GnssTime() || test.step_s > longest_gap_s) {
        test.pair->restart();
      } else {
        test.jump_m =
            test.distance_m - pair.distance_m - pair.drift_mps * test.step_s;
        double limit_m = kJumpM + kJumpMps * test.step_s;
        if (pair.drift_span_s < kDriftS && !same_band(samples[a], samples[b])) {
          limit_m += kUnknownDriftMps * test.step_s;
        }
        test.checked = verdicts_[a].tracked && verdicts_[b].tracked &&
                       !verdicts_[a].slip && !verdicts_[b].slip;
        const bool jumps = std::abs(test.jump_m) > limit_m;
        // Twice the same step is a drift.
        test.drifts = jumps && pair.was_broken &&
                      std::abs(test.distance_m - pair.distance_m -
                               pair.broken_mps * test.step_s) < limit_m;
        test.broken = test.checked && jumps && !test.drifts;
        verdicts_[a].checked |= test.checked;
        verdicts_[b].checked |= test.checked;
      }
      tests_.push_back(test);
    }
  }
}

void SlipCounter::judge_alone() {
  for (PhaseVerdict& verdict : verdicts_) {
    verdict.slip |= verdict.tracked && !verdict.checked && !verdict.code_jump &&
                    verdict.code_moved_m > kAloneM;
  }
}

// The drift goes on through a slip: it is the ionosphere's.
void SlipCounter::keep(GnssTime t, std::span<const PhaseSample> samples) {
  for (const Test& test : tests_) {
    Pair& pair = *test.pair;
    pair.was_broken = test.broken;
    pair.broken_mps = pair.drift_mps + test.jump_m / test.step_s;
    if (test.checked && !test.broken && test.step_s > 0) {
      const double span_s =
          test.drifts ? 0 : std::min(pair.drift_span_s, kDriftS);
      pair.drift_mps += test.jump_m / (span_s + test.step_s);
      pair.drift_span_s = span_s + test.step_s;
    }
    pair.distance_m = test.distance_m;
    pair.last = t;
  }
  // With a phase that is not there now, what slipped begins anew.
  for (std::size_t i = 0; i < samples.size(); ++i) {
    for (Pair& pair : pairs_) {
      if (verdicts_[i].slip && pair.last != t &&
          (pair.first == samples[i].signal ||
           pair.second == samples[i].signal)) {
        pair.restart();
      }
    }
  }
}

std::span<const PhaseVerdict> SlipCounter::add(
    GnssTime t, double longest_gap_s, std::span<const PhaseSample> samples) {
  STILLPOINT_CHECK(samples.size() <= kMostSignals);
  judge_phases(t, longest_gap_s, samples);
  make_tests(t, longest_gap_s, samples);
  blame_phases(samples);
  judge_alone();
  judge_lanes(samples);
  keep(t, samples);
  return verdicts_;
}

void SlipCounter::forget() {
  phases_.clear();
  pairs_.clear();
}

}  // namespace stillpoint::quality

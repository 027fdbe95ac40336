// SlipCounter: slips that only the wide lane shows.
#include <algorithm>

#include "stillpoint/quality/slip_counter_parts.h"

namespace stillpoint::quality {
namespace {

// Jumps above these are suspected.
constexpr double kLaneSigmas = 4;
constexpr double kLaneLeastCyc = 1;
constexpr double kLaneSigmaLeastCyc = 0.2;
constexpr int kLanesMost = 60;

}  // namespace

double SlipCounter::Pair::lane_sigma_cyc() const {
  return std::max(kLaneSigmaLeastCyc, std::sqrt(lane_variance));
}

// A third phase on another band that stayed with one of the two: the codes
// have moved, not the phases.
bool SlipCounter::is_vouched_for(const Test& test,
                                 std::span<const PhaseSample> samples) const {
  return std::any_of(tests_.begin(), tests_.end(), [&](const Test& other) {
    const bool has_first = other.a == test.a || other.a == test.b;
    const bool has_second = other.b == test.a || other.b == test.b;
    if (has_first == has_second || !other.checked || other.broken) {
      return false;
    }
    const PhaseSample& third = samples[has_first ? other.b : other.a];
    return !same_band(third, samples[test.a]) &&
           !same_band(third, samples[test.b]);
  });
}

void SlipCounter::judge_lanes(std::span<const PhaseSample> samples) {
  for (const Test& test : tests_) {
    Pair& pair = *test.pair;
    PhaseVerdict& a = verdicts_[test.a];
    PhaseVerdict& b = verdicts_[test.b];
    if (a.broken() || b.broken() || !test.checked) {
      pair.lanes = 0;
      pair.lane_left = false;
    }
    if (!std::isfinite(test.lane)) {
      continue;
    }
    const double limit =
        std::max(kLaneLeastCyc, kLaneSigmas * pair.lane_sigma_cyc());
    if (pair.lane_known() && std::abs(test.lane - pair.lane_mean) > limit) {
      const bool again =
          pair.lane_left && std::abs(test.lane - pair.lane_seen) < limit / 2;
      if (!again) {
        a.doubtful = b.doubtful = true;
        pair.lane_left = true;
        pair.lane_seen = test.lane;
        continue;
      }
      if (!is_vouched_for(test, samples)) {
        a.slip = b.slip = true;
      }
      pair.lanes = 0;
    }
    pair.lane_left = false;
    add_lane(pair, test.lane);
  }
}

// Mean and variance over all values at first, then fading.
void SlipCounter::add_lane(Pair& pair, double lane) {
  if (pair.lanes == 0) {
    pair.lane_mean = lane;
    pair.lane_variance = 0;
  }
  pair.lanes = std::min(pair.lanes + 1, kLanesMost);
  const double share = 1.0 / pair.lanes;
  const double off = lane - pair.lane_mean;
  pair.lane_variance = (1 - share) * (pair.lane_variance + share * off * off);
  pair.lane_mean += share * off;
}

}  // namespace stillpoint::quality

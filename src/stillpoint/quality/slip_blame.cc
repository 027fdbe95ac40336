// SlipCounter: which phases broken pairs are to be blamed on.
#include <algorithm>
#include <array>

#include "stillpoint/quality/slip_counter_parts.h"

namespace stillpoint::quality {
namespace {

// Noise of a jump, to weigh whose cycles it is.
constexpr double kJumpSigmaM = 0.015;
// How much a jump may be a new drift of the ionosphere.
constexpr double kDriftSigmaM = 0.03;
constexpr double kDriftSigmaMps = 0.002;
constexpr double kDecided = 6;  // difference of two misfits

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

double square(double v) {
  return v * v;
}

}  // namespace

// How badly a jump fits something: squares of what is left over its sigma.
struct SlipCounter::Jump {
  double distance_m = 0;
  double lane_cyc = kNan;  // of the wide lane; NaN: not known
  double lane_sigma_cyc = 1;
  double step_s = 0;

  [[nodiscard]] double lane_misfit(double cycles) const {
    return std::isfinite(lane_cyc)
               ? square((lane_cyc - cycles) / lane_sigma_cyc)
               : 0;
  }
  // Whole cycles of one phase. n cycles of the second phase move the distance
  // by -n and the lane by -n.
  [[nodiscard]] double slip_misfit(double wavelength_m) const {
    const double cycles = std::round(distance_m / wavelength_m);
    return cycles == 0
               ? kInfinite
               : square((distance_m - cycles * wavelength_m) / kJumpSigmaM) +
                     lane_misfit(cycles);
  }
  // A new drift of the ionosphere.
  [[nodiscard]] double drift_misfit() const {
    return square(distance_m / (kDriftSigmaM + kDriftSigmaMps * step_s)) +
           lane_misfit(0);
  }
};

SlipCounter::Jump SlipCounter::jump_of(const Test& test) {
  const Pair& pair = *test.pair;
  Jump jump;
  jump.distance_m = test.jump_m;
  jump.step_s = test.step_s;
  if (pair.lane_known()) {
    jump.lane_cyc = test.lane - pair.lane_mean;
    jump.lane_sigma_cyc = pair.lane_sigma_cyc();
  }
  return jump;
}

bool SlipCounter::is_open(const Test& test) const {
  return test.broken && !verdicts_[test.a].slip && !verdicts_[test.b].slip;
}

// The jump belongs to one phase of a pair, or to both where that is not clear,
// or to the ionosphere.
void SlipCounter::blame_one_of(Test& test,
                               std::span<const PhaseSample> samples) {
  const Jump jump = jump_of(test);
  const double first = jump.slip_misfit(wavelength_m(samples[test.a]));
  const double second = jump.slip_misfit(wavelength_m(samples[test.b]));
  if (!same_band(samples[test.a], samples[test.b]) &&
      jump.drift_misfit() < std::min(first, second)) {
    test.broken = false;
    test.drifts = true;
    return;
  }
  const bool decided = std::abs(first - second) > kDecided;
  verdicts_[test.a].slip |= !decided || first < second;
  verdicts_[test.b].slip |= !decided || second < first;
}

// The jumps of all pairs with this phase belong to it, or to the ionosphere.
void SlipCounter::blame(std::size_t worst,
                        std::span<const PhaseSample> samples) {
  double slip = 0;
  double drift = 0;
  for (const Test& test : tests_) {
    if (is_open(test) && (test.a == worst || test.b == worst)) {
      const Jump jump = jump_of(test);
      slip += jump.slip_misfit(wavelength_m(samples[worst]));
      // No drift parts two phases of one band.
      drift = same_band(samples[test.a], samples[test.b])
                  ? kInfinite
                  : drift + jump.drift_misfit();
    }
  }
  if (drift >= slip) {
    verdicts_[worst].slip = true;
    return;
  }
  for (Test& test : tests_) {
    if (is_open(test) && (test.a == worst || test.b == worst)) {
      test.broken = false;
      test.drifts = true;
    }
  }
}

// The fewest phases that explain all broken pairs, the worst one first.
void SlipCounter::blame_phases(std::span<const PhaseSample> samples) {
  while (std::any_of(tests_.begin(), tests_.end(), [&](const Test& test) {
    return is_open(test);
  })) {
    std::array<int, kMostSignals> broken{};
    std::array<int, kMostSignals> whole{};
    for (const Test& test : tests_) {
      if (test.checked && !verdicts_[test.a].slip && !verdicts_[test.b].slip) {
        auto& count = test.broken ? broken : whole;
        ++count.at(test.a);
        ++count.at(test.b);
      }
    }
    const auto worse = [&](std::size_t i, std::size_t j) {
      return broken.at(i) != broken.at(j) ? broken.at(i) > broken.at(j)
                                          : whole.at(i) < whole.at(j);
    };
    std::size_t worst = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
      worst = worse(i, worst) ? i : worst;
    }
    const auto equal =
        std::find_if(tests_.begin(), tests_.end(), [&](const Test& test) {
          return is_open(test) && (test.a == worst || test.b == worst) &&
                 !worse(worst, test.a == worst ? test.b : test.a);
        });
    if (equal == tests_.end()) {
      blame(worst, samples);
    } else {
      blame_one_of(*equal, samples);
    }
  }
}

}  // namespace stillpoint::quality

// Integers of a tie, and whether they stand the tests.
#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {
namespace {

constexpr int kMostFixes = 6;
constexpr double kWiderThanSeen = 1.2;
// A shorter session does not show how large the ionosphere's difference is.
constexpr double kAdaptS = 1770;
// Chi-square of three degrees of freedom that one in ten thousand exceeds,
// twice that since reflections of neighbouring satellites are alike (right
// fixes of ten minutes reached 21); and how far the misfit of the integers may
// be from one. Both say that a fix is not the float solution's.
constexpr double kShiftLimit = 42;
constexpr double kMisfitLimit = 3;

// With the ambiguities of two bands held, the ionosphere's difference shows how
// large it really is. True when that is another size than was assumed.
bool adapt_ionosphere(TieSolver::State& s) {
  constexpr double kAlike = 1.5, kSmallestM = 0.0005;
  constexpr int kFewest = 100;
  if (s.air.ionosphere != TieIonosphere::kConstrained) {
    return false;
  }
  double square = 0;
  int count = 0;
  for (std::size_t i = 0; i < s.session.sights.size(); ++i) {
    const auto rows = s.session.rows_of(s.session.sights[i]);
    const double delay_m = s.estimate.ionosphere_m[i];
    if (std::isfinite(delay_m) && rows.size() > 1 &&
        s.integers.fixed[rows[0].arc] && s.integers.fixed[rows[1].arc]) {
      square += delay_m * delay_m;
      ++count;
    }
  }
  if (count < kFewest) {
    return false;
  }
  const double before_m = s.air.ionosphere_m;
  const double seen_m =
      std::max(kSmallestM, kWiderThanSeen * std::sqrt(square / count));
  if (seen_m < kAlike * before_m && before_m < kAlike * seen_m) {
    return false;
  }
  s.air.ionosphere_m = seen_m;
  return true;
}

bool agrees_with_float(const TieSolver::State& s) {
  const Eigen::Vector3d& shift = s.integers.shift_m;
  const Eigen::Matrix3d room =
      s.integers.room_m2 + 1e-8 * Eigen::Matrix3d::Identity();
  const double chi2 = shift.dot(room.ldlt().solve(shift));
  return chi2 < kShiftLimit && s.integers.misfit < kMisfitLimit;
}

// Why integers are not to be tried; empty: they are.
std::string no_integers(const TieSolver::State& s) {
  if (!s.options.integers) {
    return "integers were not asked for";
  }
  return s.air.ionosphere == TieIonosphere::kFree
             ? "the ends are too far apart for integers"
             : "";
}

// The float solution again, and why.
bool stay_float(TieSolver::State& s, TieAdjuster& adjuster, std::string why) {
  s.fixed = false;
  s.why_float = std::move(why);
  adjuster.release();
  return adjuster.finish(s.estimate);
}

// Integers, tested by what they make of the residuals; the float estimate
// stays where they do not stand the tests. False: no estimate at all.
bool try_integers(TieSolver::State& s, TieAdjuster& adjuster) {
  s.fixed = false;
  if (!adjuster.run(s.noise, s.air, true) || !adjuster.finish(s.floating)) {
    return false;
  }
  s.estimate = s.floating;
  s.why_float = no_integers(s);
  if (!s.why_float.empty()) {
    return true;
  }
  for (int round = 0; round < kMostFixes; ++round) {
    s.integers = search_integers(s.session, adjuster, s.options.failure_rate);
    if (s.integers.holds.empty()) {
      return stay_float(
          s, adjuster, "no set of integers stands out from the next best");
    }
    adjuster.hold(s.integers.holds);
    if (!adjuster.finish(s.estimate)) {
      return false;
    }
    if (!agrees_with_float(s)) {
      return stay_float(
          s,
          adjuster,
          "the integers found do not agree with the solution without");
    }
    s.fixed = true;
    const int released =
        release_wrong(s.session, s.integers, s.noise, s.options.without);
    s.released += released;
    if (released == 0) {
      return true;
    }
    adjuster.release();
  }
  return stay_float(s, adjuster, "integers were released again and again");
}

}  // namespace

// Once more with the ionosphere as large as the first integers show it to be;
// where that leads to none, the first ones stay.
bool fix_tie(TieSolver::State& s, TieAdjuster& adjuster) {
  if (!try_integers(s, adjuster)) {
    return false;
  }
  const TieAir before = s.air;
  if (!s.fixed || s.session.span_s() < kAdaptS || !adapt_ionosphere(s)) {
    return true;
  }
  const int held = s.integers.fix.count(), released = s.released;
  const std::vector<TieArc> arcs = s.session.arcs;
  if (!try_integers(s, adjuster)) {
    return false;
  }
  if (s.fixed && s.integers.fix.count() >= held) {
    return true;
  }
  s.air = before;
  s.released = released;
  s.session.arcs = arcs;
  return try_integers(s, adjuster);
}

}  // namespace stillpoint::solve

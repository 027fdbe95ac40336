#include "stillpoint/solve/tie_solver.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/solve/covariance_arrays.h"
#include "stillpoint/solve/tie_arcs.h"
#include "stillpoint/solve/tie_collect.h"
#include "stillpoint/solve/tie_edit.h"
#include "stillpoint/solve/tie_sigma.h"
#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {
namespace {

// A day of three bands of forty satellites at 30 s is kept; with more, every
// second epoch is dropped, as often as needed.
constexpr std::size_t kMostRows = 400'000;
// So many rows are adjusted at most: what reflections do lasts for minutes, and
// more of the same tells nothing new (docs/integers.md).
constexpr std::size_t kAdjustedRows = 40'000;
constexpr double kLongestStepS = 240;
// Nearer than this the linear model leaves out less than 1 um, and steps of 30
// s move by less than 1 cm.
constexpr double kNearEnoughM = 5;
constexpr int kMostReferences = 4;
constexpr int kFewestRounds = 3, kMostRounds = 7;
constexpr double kSettledShare = 1e-3;

Ecef step_of(const TieEstimate& e) {
  return {e.dx_m.x(), e.dx_m.y(), e.dx_m.z()};
}

bool solve_float(TieSolver::State& s, TieAdjuster& adjuster) {
  return adjuster.run(s.noise, s.air, false) && adjuster.finish(s.estimate);
}

// Arcs from the rows at hand, and the first estimate from them.
bool first_estimate(TieSolver::State& s, TieAdjuster& adjuster) {
  s.length_m = norm(s.session.reference_m - s.options.there_marker_m);
  s.height_difference_m = to_geodetic(s.session.reference_m).height_m -
                          to_geodetic(s.options.there_marker_m).height_m;
  s.slips = find_tie_arcs(s.session, s.length_m);
  finish_tie_arcs(s.session);
  s.air = choose_air(s);
  return solve_float(s, adjuster);
}

// Edits and adjusts in turn, beginning with the estimate at hand, until the
// choice of rows settles; what settled is left to be adjusted.
bool edit(TieSolver::State& s, TieAdjuster& adjuster) {
  s.settled = false;
  for (int round = 0; round < kMostRounds; ++round) {
    const TermSet& without = s.options.without;
    estimate_noise(s.session, without, s.noise);
    const int changed = edit_rows(s.session, s.noise, without, round);
    s.settled =
        round + 1 >= kFewestRounds &&
        changed <= kSettledShare * static_cast<double>(s.session.rows.size());
    if (s.settled) {
      return true;
    }
    if (!solve_float(s, adjuster)) {
      return false;
    }
  }
  return true;
}

bool find_vector(TieSolver::State& s) {
  if (!start_tie(*s.orbits, s.options, s.session)) {
    // For the reasons why.
    s.session.reference_m = s.options.there_marker_m;
    s.counts = s.collected;
    s.models = compute_tie(*s.orbits, s.options, s.session, s.counts);
    return false;
  }
  TieAdjuster adjuster(s.session, s.options.without);
  s.noise = TieNoise(s.session.groups.size());
  for (int tries = 0; tries < kMostReferences; ++tries) {
    s.counts = s.collected;
    s.models = compute_tie(*s.orbits, s.options, s.session, s.counts);
    if (!first_estimate(s, adjuster)) {
      return false;
    }
    if (s.estimate.dx_m.norm() < kNearEnoughM) {
      break;
    }
    if (tries + 1 == kMostReferences) {
      return false;
    }
    move_reference(s.session, step_of(s.estimate));
  }
  if (!edit(s, adjuster) || !fix_tie(s, adjuster)) {
    return false;
  }
  const auto influences = adjuster.influences(s.noise);
  if (influences.empty()) {
    return false;
  }
  s.length_m = norm(s.session.reference_m + step_of(s.estimate) -
                    s.options.there_marker_m);
  s.covariance_m2 = tie_covariance(
      s.session, influences, s.noise, s.air, s.length_m, s.options.without);
  s.move = find_move(adjuster,
                     s.session,
                     s.options.without,
                     s.noise,
                     s.air,
                     s.fixed ? s.integers : TieIntegers{},
                     s.estimate,
                     s.covariance_m2);
  return true;
}

void put_vector(const TieSolver::State& s, TieAnswer& out) {
  FramedPosition p;
  p.ecef = s.session.reference_m + step_of(s.estimate);
  p.epoch = *out.solution.first +
            Duration{(*out.solution.last - *out.solution.first).s / 2};
  p.point = s.options.without.has(Term::kAntennaHeight) ? Point::kArp
                                                        : Point::kMarker;
  out.vector_m = p.ecef - s.options.there_marker_m;
  out.length_m = norm(out.vector_m);
  const Mat3 enu = enu_R_ecef(to_geodetic(p.ecef));
  Cov3 covariance = covariance_to_enu(enu, to_array(s.covariance_m2));
  const auto orbits =
      orbit_sigma_enu_m(s.length_m, s.orbits->frame_label() == "WGS84");
  for (std::size_t i = 0; i < 3; ++i) {
    covariance[4 * i] += orbits[i] * orbits[i];
  }
  out.solution.sigma_without_calibration_enu_m = sigmas(covariance);
  const bool same_type =
      s.options.here.antenna_type == s.options.there.antenna_type &&
      s.models.here == s.models.there;
  const auto antennas =
      tie_calibration_sigma_enu_m(s.models.here,
                                  s.models.there,
                                  same_type,
                                  s.air.ionosphere == TieIonosphere::kFree,
                                  s.options.elevation_mask_rad);
  for (std::size_t i = 0; i < 3; ++i) {
    covariance[4 * i] += antennas[i] * antennas[i];
  }
  out.solution.sigma_enu_m = sigmas(covariance);
  p.covariance_m2 = covariance_to_ecef(enu, covariance);
  out.covariance_m2 = p.covariance_m2;
  out.solution.position = p;
}

}  // namespace

const char* ionosphere_name(TieIonosphere i) {
  switch (i) {
    case TieIonosphere::kNone:
      return "none";
    case TieIonosphere::kConstrained:
      return "constrained";
    case TieIonosphere::kFree:
      break;
  }
  return "free";
}

TieSolver::TieSolver(const TieOptions& options, const OrbitSource& orbits)
    : state_(std::make_unique<State>()) {
  state_->options = options;
  state_->orbits = &orbits;
}
TieSolver::~TieSolver() = default;
TieSolver::TieSolver(TieSolver&&) noexcept = default;
TieSolver& TieSolver::operator=(TieSolver&&) noexcept = default;

void TieSolver::add(const Epoch& here, const Epoch& there) {
  State& s = *state_;
  if (s.offered++ % s.stride != 0) {
    ++s.collected.epochs_seen;
    return;
  }
  collect_tie(here, there, *s.orbits, s.options, s.session, s.collected);
  if (s.session.rows.size() > kMostRows) {
    thin(s.session);
    s.stride *= 2;
  }
}

const PppSeries& TieSolver::series() const {
  return state_->series;
}

TieAnswer TieSolver::solve() {
  State& s = *state_;
  TieAnswer out;
  s.series = {};
  s.integers = {};
  s.fixed = false;
  s.released = 0;
  s.move.reset();
  s.session.interval_s = usual_interval_s(s.session);
  s.session.stride = std::min(
      1 + s.session.rows.size() / kAdjustedRows,
      std::max<std::size_t>(
          1, static_cast<std::size_t>(kLongestStepS / s.session.interval_s)));
  const bool found = find_vector(s);
  if (found) {
    describe(s, out);
  }
  if (!found || !out.solution.first) {
    out.solution.counts = s.counts.epochs_seen > 0 ? s.counts : s.collected;
    out.solution.why = why_no_vector(s);
    return out;
  }
  put_vector(s, out);
  fill_series(s);
  judge(s, out);
  warn(s, out);
  return out;
}

}  // namespace stillpoint::solve

#include "stillpoint/solve/ppp_solver.h"

#include <array>
#include <cmath>
#include <utility>

#include "stillpoint/datum/frames.h"
#include "stillpoint/solve/covariance_arrays.h"
#include "stillpoint/solve/ppp_collect.h"
#include "stillpoint/solve/ppp_edit.h"
#include "stillpoint/solve/ppp_state.h"

namespace stillpoint::solve {
namespace {

// A reference this near needs no other: what a linear model leaves out of 10 m
// is 3 um, and tides, air and patterns hardly know the difference.
constexpr double kNearEnoughM = 10;
constexpr int kMostReferences = 4;
// What a day is wrong by where no satellite has its antenna's offset: BeiDou
// alone, on a station with a known coordinate, 69, 30 and -104 mm (our
// judgement from that day, docs/validation.md).
constexpr std::array<double, 3> kNoOffsetsEnuM{0.05, 0.05, 0.10};
constexpr int kFewestRounds = 3, kMostRounds = 9;
// With so few rows changing from round to round the choice has settled.
constexpr double kSettledShare = 5e-4, kLastShare = 5e-3;
constexpr int kPatientRounds = 6;

// Edits and adjusts in turn, beginning with the estimate at hand, until the
// choice of rows settles; false when the rows do not determine a position.
bool adjust_and_edit(PppSolver::State& s, PppAdjuster& adjuster) {
  const TermSet& without = s.options.without;
  s.settled = false;
  for (int round = 0; round < kMostRounds; ++round) {
    estimate_noise(s.session, without, s.noise);
    const EditCount edits = edit_rows(s.session, s.noise, without, round);
    const double share = round < kPatientRounds ? kSettledShare : kLastShare;
    s.settled =
        round + 1 >= kFewestRounds && edits.split == 0 &&
        edits.changed <= share * static_cast<double>(s.session.rows.size());
    if (s.settled) {
      return true;
    }
    auto estimate = adjuster.run(s.noise, false);
    if (!estimate) {
      return false;
    }
    s.estimate = std::move(*estimate);
  }
  return true;
}

// Arcs from the rows at hand, and the first estimate from them.
bool first_estimate(PppSolver::State& s, PppAdjuster& adjuster) {
  s.arcs = find_arcs(s.session);
  finish_arcs(s.session);
  auto estimate = adjuster.run(s.noise, false);
  if (estimate) {
    s.estimate = std::move(*estimate);
  }
  return estimate.has_value();
}

Ecef step_of(const PppSolver::State& s) {
  const Eigen::Vector3d& dx = s.estimate.dx_m;
  return {dx.x(), dx.y(), dx.z()};
}

bool honest_covariance(PppSolver::State& s, const PppAdjuster& adjuster) {
  const auto influences = adjuster.influences(s.noise);
  if (influences.empty()) {
    return false;
  }
  PppMemory memory = estimate_memory(s.session, s.noise, s.options.without);
  memory.integers = s.integers.fixed;
  s.covariance_m2 = covariance_with_memory(
      s.session, influences, s.noise, memory, s.options.without);
  return true;
}

// The settled rows once more, with whole ambiguities where they are certain.
bool last_estimate(PppSolver::State& s, PppAdjuster& adjuster) {
  PppWideLanes lanes;
  std::vector<bool> candidates;
  if (s.options.integers) {
    lanes = find_wide_lanes(s.session, s.options.aids);
    s.integers.from = basis_words(lanes);
  } else {
    s.integers.from = "ambiguities were left as they are (--ambiguities float)";
  }
  if (lanes.any_basis()) {
    candidates = integer_candidates(s.session, lanes);
  }
  auto estimate = adjuster.run(s.noise, true, candidates);
  if (!estimate) {
    return false;
  }
  s.estimate = std::move(*estimate);
  if (!honest_covariance(s, adjuster)) {
    return false;
  }
  s.float_m2 = s.covariance_m2;
  s.float_formal_m2 = s.estimate.formal_m2;
  if (candidates.empty()) {
    return true;
  }
  const std::string from = s.integers.from;
  s.integers = fix_arcs(s.session,
                        lanes,
                        candidates,
                        s.noise,
                        s.options.without,
                        s.options.failure_rate,
                        s.float_m2,
                        adjuster,
                        s.estimate);
  s.integers.from = from;
  return !s.integers.fixed || honest_covariance(s, adjuster);
}

// Everything but the telling; false without a position.
bool find_position(PppSolver::State& s) {
  s.epochs_tried = 0;
  const auto rough =
      rough_position(*s.orbits, s.options, s.session, &s.epochs_tried);
  if (!rough) {
    return false;
  }
  s.session.reference = *rough;
  PppAdjuster adjuster(s.session, s.options.without);
  for (int tries = 0; tries < kMostReferences; ++tries) {
    s.counts = s.collected;
    s.models = compute_rows(*s.orbits, s.options, s.session, s.counts);
    if (!first_estimate(s, adjuster)) {
      return false;
    }
    const double moved_m = s.estimate.dx_m.norm();
    move_reference(s.session, step_of(s));
    if (moved_m < kNearEnoughM) {
      break;
    }
  }
  if (!first_estimate(s, adjuster)) {
    return false;
  }
  if (!adjust_and_edit(s, adjuster)) {
    return false;
  }
  return last_estimate(s, adjuster);
}

void put_position(const PppSolver::State& s, Solution& out) {
  FramedPosition p;
  p.ecef = s.session.reference + step_of(s);
  p.frame = frame_of_label(s.orbits->frame_label()).frame;
  p.epoch = *out.first + Duration{(*out.last - *out.first).s / 2};
  p.point = s.options.without.has(Term::kAntennaHeight) ? Point::kArp
                                                        : Point::kMarker;
  const Mat3 enu = enu_R_ecef(to_geodetic(p.ecef));
  Cov3 covariance = covariance_to_enu(enu, to_array(s.covariance_m2));
  out.sigma_without_calibration_enu_m = sigmas(covariance);
  const auto antenna =
      calibration_sigma_enu_m(s.models.receiver, s.options.elevation_mask_rad);
  for (std::size_t i = 0; i < 3; ++i) {
    covariance[4 * i] += antenna[i] * antenna[i];
    if (s.models.without_antenna > 0) {
      covariance[4 * i] += kNoOffsetsEnuM[i] * kNoOffsetsEnuM[i];
    }
  }
  out.sigma_enu_m = sigmas(covariance);
  p.covariance_m2 = covariance_to_ecef(enu, covariance);
  out.position = p;
}

}  // namespace

PppSolver::PppSolver(const PppOptions& options, const OrbitSource& orbits)
    : state_(std::make_unique<State>()) {
  state_->options = options;
  state_->orbits = &orbits;
}
PppSolver::~PppSolver() = default;
PppSolver::PppSolver(PppSolver&&) noexcept = default;
PppSolver& PppSolver::operator=(PppSolver&&) noexcept = default;

void PppSolver::add(const Epoch& epoch) {
  State& s = *state_;
  if (s.offered++ % s.stride != 0) {
    ++s.collected.epochs_seen;
    return;
  }
  collect(epoch, *s.orbits, s.options, s.session, s.collected);
  if (s.session.rows.size() > kMaxRows) {
    thin(s.session);
    s.stride *= 2;
  }
}

const PppSeries& PppSolver::series() const {
  return state_->series;
}

Solution PppSolver::solve() {
  State& s = *state_;
  Solution out;
  s.noise = {};
  s.integers = {};
  s.series = {};
  s.session.interval_s = usual_interval_s(s.session);
  if (!find_position(s)) {
    out.counts = s.counts.epochs_seen > 0 ? s.counts : s.collected;
    out.why = why_no_position(s);
    return out;
  }
  describe(s, out);
  if (!out.first) {
    out.why = why_no_position(s);
    return out;
  }
  put_position(s, out);
  fill_series(s, out);
  judge(s, out);
  warn(s, out);
  return out;
}

}  // namespace stillpoint::solve

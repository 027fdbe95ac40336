#include "stillpoint/solve/code_solver.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "stillpoint/datum/frames.h"
#include "stillpoint/solve/code_state.h"
#include "stillpoint/solve/covariance_arrays.h"

namespace stillpoint::solve {
namespace {

// Vertical solid Earth tide, which this method does not remove, one sigma: the
// tide moves a site by up to 0.3 m within half a day and mostly averages out
// over a day. From memory, IERS Conventions (2010), chapter 7.
constexpr double kTideUpShortM = 0.10, kTideUpDayM = 0.04;
// What code reflections near the antenna and the delay of codes by direction
// do to the height, for as long as the antenna stands: a decimetre and more in
// the two-frequency combination. From memory; docs/sigma.md has the record.
constexpr double kNearFieldUpM = 0.15;
constexpr double kDayS = 20 * 3600;
constexpr double kUsableSigmaM = 10;
constexpr double kUsableNoiseFactor = 12;

Ecef to_struct(const Eigen::Vector3d& v) {
  return {v.x(), v.y(), v.z()};
}

// Covariance in east, north, up with the tide and, if asked, the antenna.
Cov3 whole_covariance_enu(const CodeSolver::State& s,
                          const Eigen::Matrix3d& ecef,
                          double length_s,
                          bool with_antenna) {
  Cov3 enu = covariance_to_enu(s.atmosphere.enu_R_ecef(), to_array(ecef));
  const double tide = length_s > kDayS ? kTideUpDayM : kTideUpShortM;
  enu[8] += tide * tide + kNearFieldUpM * kNearFieldUpM;
  enu[0] += tide * tide / 9;
  enu[4] += tide * tide / 9;
  if (with_antenna) {
    const auto antenna = uncalibrated_sigma_enu_m(s.options.elevation_mask_rad);
    for (std::size_t i = 0; i < 3; ++i) {
      enu[4 * i] += antenna[i] * antenna[i];
    }
  }
  return enu;
}

// Keeps every second epoch of what is stored.
void thin(CodeSession& session) {
  std::vector<CodeEpoch> epochs;
  std::size_t write = 0;
  for (std::size_t k = 0; k < session.epochs.size(); k += 2) {
    CodeEpoch epoch = session.epochs[k];
    const auto first = static_cast<std::ptrdiff_t>(epoch.first);
    std::copy_n(session.rows.begin() + first,
                epoch.count,
                session.rows.begin() + static_cast<std::ptrdiff_t>(write));
    epoch.first = static_cast<std::uint32_t>(write);
    write += epoch.count;
    epochs.push_back(epoch);
  }
  session.rows.resize(write);
  session.epochs = std::move(epochs);
}

double span_s(std::span<const CodeEpoch> epochs) {
  return (epochs.back().time - epochs.front().time).s;
}

GnssTime middle(std::span<const CodeEpoch> epochs) {
  return epochs.front().time + Duration{span_s(epochs) / 2};
}

std::string why_failed(const CodeSolver::State& s) {
  if (s.counts.epochs_seen == 0) {
    return "the observation files hold no epoch in the time asked for";
  }
  return "no epoch had enough satellites with both a code range and an orbit; "
         "the list of excluded satellites says what each of them lacked";
}

// What makes a position one not to rely on; empty when nothing does.
std::string doubt(const CodeSolver::State& s,
                  const std::array<double, 3>& sigma_m) {
  const double worst = *std::max_element(sigma_m.begin(), sigma_m.end());
  if (!(worst < kUsableSigmaM)) {
    return "too few satellites or too short: the uncertainty exceeds 10 m";
  }
  const auto& factors = s.model.noise_factor;
  if (*std::max_element(factors.begin(), factors.end()) > kUsableNoiseFactor) {
    return "the ranges disagree far beyond their noise: the antenna moved, the "
           "orbits are of another day, or a correction was left out";
  }
  if (!s.adjustment->settled) {
    return "position and choice of outliers did not settle";
  }
  return {};
}

// Once to learn how long the errors last, once with the priors weighed by it.
void solve_twice(CodeSolver::State& s) {
  const bool reject = !s.options.without.has(Term::kOutlierRejection);
  for (int pass = 0; pass < 2; ++pass) {
    s.model.repetition = repetition_of(s.session, s.memory);
    s.adjustment = adjust(s.session, s.model, reject);
    if (!s.adjustment) {
      return;
    }
    s.memory = estimate_memory(s.session, s.model, s.adjustment->estimate);
  }
}

}  // namespace

std::array<double, 3> uncalibrated_sigma_enu_m(double elevation_mask_rad) {
  const double mask_deg =
      std::max(0.0, elevation_mask_rad) * 180 / std::numbers::pi;
  return {2 * 0.008, 2 * 0.008, 2 * (0.020 + 0.004 * mask_deg)};
}

CodeSolver::CodeSolver(const CodeOptions& options, const OrbitSource& orbits)
    : state_(std::make_unique<State>()) {
  state_->options = options;
  state_->orbits = &orbits;
  state_->log.counts = &state_->counts;
}
CodeSolver::~CodeSolver() = default;
CodeSolver::CodeSolver(CodeSolver&&) noexcept = default;
CodeSolver& CodeSolver::operator=(CodeSolver&&) noexcept = default;

void CodeSolver::add(const Epoch& epoch) {
  State& s = *state_;
  ++s.counts.epochs_seen;
  if (s.offered++ % s.stride != 0) {
    return;
  }
  measure(epoch, *s.orbits, s.options, s.session, s.log, s.measurements);
  if (!s.located) {
    const auto start =
        first_position(s.measurements, epoch.time, s.options, s.session);
    if (!start) {
      for (const CodeMeasurement& m : s.measurements) {
        ++s.counts
              .excluded[m.sat][static_cast<std::size_t>(Exclusion::kTooFew)];
      }
      return;
    }
    s.session.reference = *start;
    s.located = true;
  }
  linearise(
      s.measurements, epoch.time, s.options, s.atmosphere, s.session, s.log);
  if (s.session.rows.size() > kMaxRows) {
    thin(s.session);
    s.stride *= 2;
  }
}

Solution CodeSolver::finish() {
  State& s = *state_;
  Solution solution;
  if (s.located) {
    solve_twice(s);
  }
  if (!s.adjustment) {
    solution.counts = s.counts;
    solution.why = why_failed(s);
    return solution;
  }
  const Estimate& estimate = s.adjustment->estimate;
  const Eigen::Matrix3d ecef =
      session_covariance(
          s.session, s.session.epochs, s.model, s.memory, estimate)
          .topLeftCorner<3, 3>();
  const double length_s = span_s(s.session.epochs);
  const Cov3 enu = whole_covariance_enu(s, ecef, length_s, true);
  solution.sigma_enu_m = sigmas(enu);
  solution.sigma_without_calibration_enu_m =
      sigmas(whole_covariance_enu(s, ecef, length_s, false));

  FramedPosition position;
  position.ecef = s.session.reference + to_struct(estimate.x.head<3>());
  position.frame = frame_of_label(s.orbits->frame_label()).frame;
  position.epoch = middle(s.session.epochs);
  position.point = Point::kArp;
  position.covariance_m2 = covariance_to_ecef(s.atmosphere.enu_R_ecef(), enu);
  if (!s.options.without.has(Term::kAntennaHeight)) {
    position.ecef = position.ecef - rotate_back(s.atmosphere.enu_R_ecef(),
                                                s.options.antenna_delta_enu_m);
    position.point = Point::kMarker;
  }
  solution.position = position;
  solution.first = s.session.epochs.front().time;
  solution.last = s.session.epochs.back().time;
  describe(s, solution);

  const std::string reason = doubt(s, solution.sigma_enu_m);
  solution.status =
      reason.empty() ? SolveStatus::kConverged : SolveStatus::kNotConverged;
  solution.why =
      reason.empty() ? "position, outliers and noise levels settled" : reason;
  return solution;
}

std::vector<PiecePosition> CodeSolver::epoch_positions() const {
  const State& s = *state_;
  std::vector<PiecePosition> out;
  if (!s.adjustment) {
    return out;
  }
  const bool reject = !s.options.without.has(Term::kOutlierRejection);
  const double zenith_m = s.adjustment->estimate.x[3];
  for (const CodeEpoch& epoch : s.session.epochs) {
    const auto fix = solve_epoch(
        s.session, s.session.rows_of(epoch), s.model, zenith_m, reject);
    if (!fix) {
      continue;
    }
    PiecePosition piece{
        .time = epoch.time,
        .phase_centre = s.session.reference + to_struct(fix->dx_m),
        .satellites = fix->satellites};
    piece.covariance_enu_m2 =
        whole_covariance_enu(s, epoch_covariance(*fix, kZenithPriorM), 0, true);
    piece.sigma_enu_m = sigmas(piece.covariance_enu_m2);
    out.push_back(piece);
  }
  return out;
}

std::vector<PiecePosition> CodeSolver::piece_positions(double length_s) const {
  const State& s = *state_;
  std::vector<PiecePosition> out;
  if (!s.adjustment) {
    return out;
  }
  const std::span<const CodeEpoch> all(s.session.epochs);
  for (std::size_t begin = 0, end = 0; begin < all.size(); begin = end) {
    while (end < all.size() && (all[end].time - all[begin].time).s < length_s) {
      ++end;
    }
    const auto epochs = all.subspan(begin, end - begin);
    const auto estimate = solve_epochs(s.session, epochs, s.model);
    if (!estimate) {
      continue;
    }
    const Eigen::Matrix3d ecef =
        session_covariance(s.session, epochs, s.model, s.memory, *estimate)
            .topLeftCorner<3, 3>();
    PiecePosition piece{
        .time = middle(epochs),
        .phase_centre = s.session.reference + to_struct(estimate->x.head<3>()),
        .satellites = static_cast<int>(epochs.front().count)};
    for (const CodeEpoch& e : epochs) {
      piece.satellites = std::min(piece.satellites, static_cast<int>(e.count));
    }
    piece.covariance_enu_m2 =
        whole_covariance_enu(s, ecef, span_s(epochs), true);
    piece.sigma_enu_m = sigmas(piece.covariance_enu_m2);
    out.push_back(piece);
  }
  return out;
}

}  // namespace stillpoint::solve

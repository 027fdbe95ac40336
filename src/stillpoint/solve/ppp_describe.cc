// Counts, fits and series of a phase solution.
#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/solve/covariance_arrays.h"
#include "stillpoint/solve/ppp_state.h"

namespace stillpoint::solve {
namespace {

constexpr double kLongArcS = 600, kShareOfSession = 0.8;
constexpr double kZenithStepS = 300;

struct Sum {
  int used = 0, rejected = 0;
  double sum = 0, squares = 0;
  void add(double v) {
    ++used;
    sum += v;
    squares += v * v;
  }
  [[nodiscard]] double mean() const { return used > 0 ? sum / used : 0; }
  [[nodiscard]] double rms() const {
    return used > 0 ? std::sqrt(squares / used) : 0;
  }
};

// Arcs that count as ambiguities, and those of them that are whole numbers.
void count_arcs(const PppSolver::State& s, double span_s, Solution& out) {
  const double least_s = std::min(kLongArcS, kShareOfSession * span_s);
  for (std::size_t a = 0; a < s.session.arcs.size(); ++a) {
    const PppArc& arc = s.session.arcs[a];
    if (arc.rows > 1 && (arc.last - arc.first).s >= least_s) {
      ++out.ambiguities;
      out.ambiguities_fixed += s.integers.fixed && s.integers.arcs[a] ? 1 : 0;
    }
  }
}

Enu enu_of(const Mat3& enu, const Eigen::Vector3d& v) {
  return rotate(enu, Ecef{v.x(), v.y(), v.z()});
}

}  // namespace

void describe(const PppSolver::State& s, Solution& out) {
  out.counts = s.counts;
  out.calibration = calibration_name(s.models.receiver);
  out.slips = s.arcs.slips;
  std::vector<Sum> satellites(SatId::kIndexCount);
  std::array<Sum, kSystemCount> systems;
  Sum phase, code;
  int without_arc = 0;
  for (const PppEpoch& epoch : s.session.epochs) {
    bool any = false;
    for (const PppRow& r : s.session.rows_of(epoch)) {
      if (!r.modelled()) {
        continue;
      }
      const auto system = static_cast<std::size_t>(r.sat.system);
      Sum& satellite = satellites[static_cast<std::size_t>(r.sat.index())];
      if (r.code_used()) {
        code.add(r.code_residual_m);
      } else {
        ++out.counts.rejected;
      }
      if (r.phase_used()) {
        any = true;
        phase.add(r.phase_residual_m);
        satellite.add(r.phase_residual_m);
        systems[system].add(r.phase_residual_m);
      } else if ((r.flags & kRowShortArc) != 0) {
        ++without_arc;
        ++out.counts
              .excluded[r.sat][static_cast<std::size_t>(Exclusion::kShortArc)];
      } else {
        ++out.counts.rejected;
        ++satellite.rejected;
      }
    }
    if (any) {
      ++out.counts.epochs;
      out.first = out.first ? out.first : epoch.time;
      out.last = epoch.time;
    }
  }
  out.counts.observations = phase.used;
  out.phase_rms_m = phase.rms();
  out.code_rms_m = code.rms();
  for (const System system : kSystems) {
    const auto index = static_cast<std::size_t>(system);
    if (systems[index].used > 0) {
      out.systems.push_back(
          {system, s.noise.phase_factor[index], systems[index].rms()});
    }
    for (std::uint8_t number = 0; number < 100; ++number) {
      const SatId sat{system, number};
      const Sum& sum = satellites[static_cast<std::size_t>(sat.index())];
      if (sum.used > 0) {
        ++out.counts.satellites[system];
      }
      if (sum.used + sum.rejected > 0) {
        out.satellites.push_back(
            {sat, sum.used, sum.rejected, sum.mean(), sum.rms()});
      }
    }
  }
  if (out.first) {
    count_arcs(s, (*out.last - *out.first).s, out);
  }
  out.fixed = s.integers.fixed;
  out.ambiguity_ratio = s.integers.ratio;
  out.integers_from = s.integers.from;
  const std::size_t middle = s.estimate.air_m.size() / 2;
  out.zenith_delay_m =
      s.models.zenith_delay_m +
      (s.estimate.air_m.empty() ? 0 : s.estimate.air_m[middle][0]);
}

void fill_series(PppSolver::State& s, const Solution& out) {
  const Mat3 enu = enu_R_ecef(to_geodetic(out.position->ecef));
  // The formal sigmas on the way, which have no integers, are as much too small
  // as the final ones without them.
  const auto formal = variances_enu(enu, s.float_formal_m2);
  const auto honest = variances_enu(enu, s.float_m2);
  const auto last = variances_enu(enu, s.covariance_m2);
  for (const PppMilestone& m : s.estimate.milestones) {
    GrowthPoint point;
    point.time = s.session.epochs[m.epoch].time;
    point.from_final_m = enu_of(enu, m.dx_m - s.estimate.dx_m);
    const auto variance = variances_enu(enu, m.formal_m2);
    for (std::size_t i = 0; i < 3; ++i) {
      point.sigma_enu_m[i] =
          s.integers.fixed && m.epoch + 1 == s.session.epochs.size()
              ? std::sqrt(last[i])
              : std::sqrt(variance[i] * honest[i] / formal[i]);
    }
    s.series.growth.push_back(point);
  }
  for (std::size_t k = 0; k < s.session.epochs.size(); ++k) {
    const PppEpoch& epoch = s.session.epochs[k];
    const bool due =
        s.series.zenith.empty() ||
        (epoch.time - s.series.zenith.back().time).s >= kZenithStepS - 0.5;
    if (due && std::isfinite(s.estimate.zenith_sigma_m[k])) {
      const auto& air = s.estimate.air_m[k];
      s.series.zenith.push_back({epoch.time,
                                 s.models.zenith_delay_m + air[0],
                                 s.estimate.zenith_sigma_m[k],
                                 air[2],
                                 air[1]});
    }
    for (const PppRow& r : s.session.rows_of(epoch)) {
      if (!r.modelled() || (r.flags & kRowShortArc) != 0 ||
          !std::isfinite(r.phase_residual_m)) {
        continue;
      }
      s.series.residuals.push_back({epoch.time,
                                    r.sat,
                                    r.phase_residual_m,
                                    r.code_residual_m,
                                    r.azimuth_rad,
                                    r.elevation_rad,
                                    r.phase_used()});
    }
  }
}

}  // namespace stillpoint::solve

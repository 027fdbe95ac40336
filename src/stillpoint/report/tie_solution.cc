#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "stillpoint/report/tie_context.h"

namespace stillpoint::report {
namespace {

using solve::Solution;
using solve::SolveStatus;

// Mean squares of several ties, weighted by their observations.
class Pooled {
 public:
  void add(double rms, int observations) {
    if (std::isfinite(rms) && observations > 0) {
      squares_ += rms * rms * observations;
      count_ += observations;
    }
  }
  [[nodiscard]] double rms() const {
    return count_ > 0 ? std::sqrt(squares_ / count_) : 0;
  }

 private:
  double squares_ = 0, count_ = 0;
};

void add_counts(const solve::Counts& from, solve::Counts& to) {
  to.epochs = std::max(to.epochs, from.epochs);
  to.epochs_seen = std::max(to.epochs_seen, from.epochs_seen);
  to.observations += from.observations;
  to.rejected += from.rejected;
  for (const auto& [system, count] : from.satellites) {
    int& most = to.satellites[system];
    most = std::max(most, count);
  }
  for (const auto& [sat, reasons] : from.excluded) {
    auto& sum = to.excluded[sat];
    for (std::size_t r = 0; r < reasons.size(); ++r) {
      sum[r] += reasons[r];
    }
  }
}

void pool_satellites(const TieContext& c, Solution& out) {
  std::map<SatId, solve::SatelliteFit> fits;
  std::map<SatId, Pooled> pooled;
  for (const TieReport& tie : c.ties) {
    for (const solve::SatelliteFit& fit : tie.answer.solution.satellites) {
      solve::SatelliteFit& sum = fits[fit.sat];
      sum.sat = fit.sat;
      const int all = sum.observations + fit.observations;
      if (all > 0) {
        sum.mean_m =
            (sum.mean_m * sum.observations + fit.mean_m * fit.observations) /
            all;
      }
      sum.observations = all;
      sum.rejected += fit.rejected;
      pooled[fit.sat].add(fit.rms_m, fit.observations);
    }
  }
  for (auto& [sat, fit] : fits) {
    fit.rms_m = pooled[sat].rms();
    out.satellites.push_back(fit);
  }
}

// Every tie counts alike: how many observations a system has is not kept.
void pool_systems(const TieContext& c, Solution& out) {
  std::map<System, std::pair<Pooled, Pooled>> fits;
  for (const TieReport& tie : c.ties) {
    for (const solve::SystemFit& fit : tie.answer.solution.systems) {
      auto& [factor, residual] = fits[fit.system];
      factor.add(fit.noise_factor, 1);
      residual.add(fit.residual_rms_m, 1);
    }
  }
  for (const auto& [system, fit] : fits) {
    out.systems.push_back({system, fit.first.rms(), fit.second.rms()});
  }
}

void pool_residuals(const TieContext& c, Solution& out) {
  Pooled phase, code;
  for (const TieReport& tie : c.ties) {
    const Solution& s = tie.answer.solution;
    if (s.phase_rms_m) {
      phase.add(*s.phase_rms_m, s.counts.observations);
      out.phase_rms_m = phase.rms();
    }
    code.add(s.code_rms_m, s.counts.observations);
  }
  out.code_rms_m = code.rms();
}

void add_ambiguities(const Solution& from, Solution& to) {
  to.ambiguities += from.ambiguities;
  to.ambiguities_fixed += from.ambiguities_fixed;
  if (from.ambiguity_ratio) {
    to.ambiguity_ratio =
        std::min(to.ambiguity_ratio.value_or(*from.ambiguity_ratio),
                 *from.ambiguity_ratio);
  }
  if (from.slips) {
    to.slips = to.slips.value_or(0) + *from.slips;
  }
  if (to.integers_from.empty()) {
    to.integers_from = from.integers_from;
  }
}

void add_span(const Solution& from, Solution& to) {
  if (from.first) {
    to.first = std::min(to.first.value_or(*from.first), *from.first);
  }
  if (from.last) {
    to.last = std::max(to.last.value_or(*from.last), *from.last);
  }
}

void put_warning(const solve::Warning& warning, Solution& out) {
  const bool known = std::ranges::any_of(out.warnings, [&](const auto& w) {
    return w.code == warning.code && w.what == warning.what;
  });
  if (!known) {
    out.warnings.push_back(warning);
  }
}

bool said_by_all(const TieContext& c, const solve::Warning& warning) {
  return std::ranges::all_of(c.ties, [&](const TieReport& tie) {
    return std::ranges::any_of(
        tie.answer.solution.warnings, [&](const solve::Warning& w) {
          return w.code == warning.code && w.what == warning.what;
        });
  });
}

// What every tie says is about the station here, and is told once; the rest
// with the name of its tie.
void add_warnings(const TieContext& c, const TieReport& tie, Solution& out) {
  for (const solve::Warning& w : tie.moved.warnings) {
    put_warning(w, out);
  }
  for (solve::Warning w : tie.answer.solution.warnings) {
    if (!said_by_all(c, w) && w.what.find(name_of(tie)) == std::string::npos) {
      w.what = fmt::format("tie to {}: {}", name_of(tie), w.what);
    }
    put_warning(w, out);
  }
}

void put_position(const TieContext& c, Solution& out) {
  FramedPosition p;
  p.ecef = c.network->position_m;
  p.covariance_m2 = c.network->covariance_m2;
  p.frame.name = c.frame;
  p.epoch = *c.epoch;
  p.point = Point::kMarker;
  const Cov3 enu =
      covariance_to_enu(enu_R_ecef(to_geodetic(p.ecef)), p.covariance_m2);
  for (std::size_t i = 0; i < 3; ++i) {
    out.sigma_enu_m[i] = std::sqrt(std::max(0.0, enu[4 * i]));
  }
  out.sigma_without_calibration_enu_m = c.sigma_without_calibration_enu_m;
  out.position = p;
}

// The worst of the ties: which one, and why.
void judge(const TieContext& c, Solution& out) {
  if (!c.network) {
    out.status = SolveStatus::kFailed;
    out.why = c.ties.size() == 1
                  ? c.ties.front().answer.solution.why
                  : fmt::format("no tie gave a vector; the first, to {}: {}",
                                name_of(c.ties.front()),
                                c.ties.front().answer.solution.why);
    return;
  }
  for (const TieReport& tie : c.ties) {
    const Solution& s = tie.answer.solution;
    if (s.status != SolveStatus::kConverged) {
      out.status = SolveStatus::kNotConverged;
      out.why = fmt::format("the tie to {} {}: {}",
                            name_of(tie),
                            has_vector(tie) ? "did not converge" : "failed",
                            s.why);
      return;
    }
  }
  if (!c.network->passed) {
    out.status = SolveStatus::kNotConverged;
    out.why = c.network->why;
    return;
  }
  out.status = SolveStatus::kConverged;
  out.why =
      c.ties.size() == 1 ? c.ties.front().answer.solution.why : c.network->why;
}

const char* worse_calibration(const std::string& a, const std::string& b) {
  if (a == "none" || b == "none") {
    return "none";
  }
  return a == "offset" || b == "offset" ? "offset" : "full";
}

}  // namespace

bool has_vector(const TieReport& tie) {
  return tie.answer.solution.status != SolveStatus::kFailed &&
         tie.answer.solution.position.has_value();
}

const TieReport* suspected(const TieContext& c) {
  if (!c.network || !c.network->suspect) {
    return nullptr;
  }
  std::size_t left = *c.network->suspect;
  for (const TieReport& tie : c.ties) {
    if (tie.network && left-- == 0) {
      return &tie;
    }
  }
  return nullptr;
}

std::string tie_method(const TieContext& c) {
  bool any = false;
  for (const TieReport& tie : c.ties) {
    if (tie.network) {
      any = true;
      if (!tie.answer.solution.fixed) {
        return "tie-float";
      }
    }
  }
  return any ? "tie-fixed" : "tie-float";
}

std::string name_of(const TieReport& tie) {
  return tie.to.empty() ? "(no name)" : tie.to;
}

Solution tie_solution(const TieContext& c) {
  Solution out;
  out.calibration = c.ties.empty() ? "none" : "full";
  for (const TieReport& tie : c.ties) {
    const Solution& s = tie.answer.solution;
    add_counts(s.counts, out.counts);
    add_ambiguities(s, out);
    add_span(s, out);
    add_warnings(c, tie, out);
    out.calibration = worse_calibration(out.calibration, s.calibration);
    if (out.zenith_delay_m == 0) {
      out.zenith_delay_m = s.zenith_delay_m;
    }
  }
  pool_satellites(c, out);
  pool_systems(c, out);
  pool_residuals(c, out);
  out.fixed = tie_method(c) == "tie-fixed";
  if (c.network && c.epoch) {
    put_position(c, out);
  }
  judge(c, out);
  return out;
}

}  // namespace stillpoint::report

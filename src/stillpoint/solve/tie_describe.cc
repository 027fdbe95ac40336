// What a tie says of itself.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {
namespace {

constexpr double kArcS = 600, kArcShare = 0.8;

struct Fit {
  double sum = 0, square = 0;
  int used = 0, rejected = 0;
  void add(double v) {
    sum += v;
    square += v * v;
    ++used;
  }
  [[nodiscard]] double rms() const {
    return used == 0 ? 0 : std::sqrt(square / used);
  }
};

// Of arcs of ten minutes, or of most of a shorter session: all less one for
// each set, and those of them that are whole.
void count_integers(const TieSolver::State& s, Solution& out) {
  const double span_s = (*out.last - *out.first).s;
  const double least_s = std::min(kArcS, kArcShare * span_s);
  std::set<std::uint32_t> references;
  for (std::uint32_t a = 0; a < s.session.arcs.size(); ++a) {
    const TieArc& arc = s.session.arcs[a];
    if ((arc.last - arc.first).s < least_s || arc.rows < 1) {
      continue;
    }
    const bool known = a < s.integers.reference.size();
    if (known && s.integers.reference[a] != a) {
      references.insert(s.integers.reference[a]);
    }
    ++out.ambiguities;
    out.ambiguities_fixed +=
        s.fixed && a < s.integers.fixed.size() && s.integers.fixed[a] ? 1 : 0;
  }
  // Without integers every group still has its reference.
  const auto sets =
      references.empty() ? s.session.groups.size() : references.size();
  out.ambiguities = std::max(0, out.ambiguities - static_cast<int>(sets));
  out.ambiguities_fixed = std::min(out.ambiguities_fixed, out.ambiguities);
}

std::string signal_words(const TieSession& session) {
  std::string words;
  for (const TieGroup& g : session.groups) {
    const std::string here = g.here.text(), there = g.there.text();
    words += fmt::format("{}{} {}{}",
                         words.empty() ? "" : ", ",
                         system_name(g.system),
                         here,
                         here == there ? "" : "-" + there);
  }
  return words;
}

std::string handling_words(const TieSolver::State& s) {
  std::string words = fmt::format(
      "differences of {} over {}; ",
      signal_words(s.session),
      s.length_m < 1000 ? fmt::format("{:.1f} m", s.length_m)
                        : fmt::format("{:.2f} km", s.length_m / 1000));
  switch (s.air.ionosphere) {
    case TieIonosphere::kNone:
      words += "the ionosphere taken for the same at so short a distance";
      break;
    case TieIonosphere::kConstrained:
      words += fmt::format(
          "the ionosphere's difference an unknown of every satellite, kept to "
          "{:.1f} mm at the zenith",
          s.air.ionosphere_m * 1000);
      break;
    case TieIonosphere::kFree:
      words +=
          "the ionosphere's difference free at every epoch, since the "
          "ends are far apart";
      break;
  }
  words += s.air.zenith_m > 0
               ? fmt::format(
                     "; the air's zenith delay differs by an unknown, "
                     "kept to {:.1f} mm ({:.0f} m of height)",
                     s.air.zenith_m * 1000,
                     s.height_difference_m)
               : std::string("; the air's zenith delay by the model alone");
  if (s.stride > 1 || s.session.stride > 1) {
    words +=
        fmt::format("; epochs adjusted every {:.0f} s", s.session.step_s());
  }
  return words;
}

}  // namespace

void describe(TieSolver::State& s, TieAnswer& out) {
  Solution& solution = out.solution;
  solution.counts = s.counts;
  Fit phase, code;
  std::map<SatId, Fit> satellites;
  std::map<System, Fit> systems;
  for (const TieEpoch& epoch : s.session.epochs) {
    bool any = false;
    for (const TieSight& sight : s.session.sights_of(epoch)) {
      if (!sight.modelled) {
        continue;
      }
      bool used = false;
      for (const TieRow& r : s.session.rows_of(sight)) {
        Fit& satellite = satellites[sight.sat];
        if (r.code_used() && std::isfinite(r.code_residual_m)) {
          code.add(r.code_residual_m);
        }
        if (!std::isfinite(r.phase_residual_m)) {
          continue;
        }
        if (r.phase_used()) {
          phase.add(r.phase_residual_m);
          satellite.add(r.phase_residual_m);
          systems[sight.sat.system].add(r.phase_residual_m);
          used = true;
        } else if ((r.flags & kTieShortArc) == 0) {
          ++solution.counts.rejected;
          ++satellite.rejected;
        }
      }
      any |= used;
      solution.counts.observations += used ? 1 : 0;
    }
    if (any) {
      ++solution.counts.epochs;
      solution.first = solution.first ? solution.first : epoch.time;
      solution.last = epoch.time;
    }
  }
  solution.phase_rms_m = phase.rms();
  solution.code_rms_m = code.rms();
  solution.slips = s.slips;
  for (const auto& [sat, fit] : satellites) {
    if (fit.used > 0) {
      ++solution.counts.satellites[sat.system];
    }
    if (fit.used + fit.rejected > 0) {
      solution.satellites.push_back({sat,
                                     fit.used,
                                     fit.rejected,
                                     fit.used == 0 ? 0 : fit.sum / fit.used,
                                     fit.rms()});
    }
  }
  for (const auto& [system, fit] : systems) {
    double factor = 0;
    int groups = 0;
    for (std::size_t g = 0; g < s.session.groups.size(); ++g) {
      if (s.session.groups[g].system == system) {
        factor += s.noise.phase_factor[g];
        ++groups;
      }
    }
    solution.systems.push_back(
        {system, groups == 0 ? 1 : factor / groups, fit.rms()});
  }
  if (!solution.first) {
    return;
  }
  count_integers(s, solution);
  solution.fixed = s.fixed && solution.ambiguities_fixed > 0;
  if (std::isfinite(s.integers.fix.ratio)) {
    solution.ambiguity_ratio = s.integers.fix.ratio;
  }
  solution.integers_from =
      s.fixed ? "differences between satellites and stations" : s.why_float;
  solution.zenith_delay_m = s.models.zenith_delay_m + s.estimate.zenith_m;
  solution.calibration = calibration_name(s.models.here);
  out.ionosphere = s.air.ionosphere;
  out.air_estimated = s.air.zenith_m > 0;
  out.handling = handling_words(s);
}

}  // namespace stillpoint::solve

#include "stillpoint/solve/tie_edit.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

constexpr std::size_t kFewestForNoise = 40;
constexpr double kToSigma = 1.4826;  // of a normal law's median deviation
constexpr double kSmallestFactor = 0.2, kLargestFactor = 30;
constexpr std::array kLimits{20.0, 8.0, 5.0};
constexpr double kSmallestPhaseLimitM = 0.02;
constexpr double kLargestShareOut = 0.2;

void fill(std::vector<double>& factors,
          std::vector<std::vector<double>>& sizes) {
  std::vector<double> known;
  for (std::size_t g = 0; g < factors.size(); ++g) {
    if (sizes[g].size() >= kFewestForNoise) {
      factors[g] = std::clamp(kToSigma * math::median_in_place(sizes[g]),
                              kSmallestFactor,
                              kLargestFactor);
      known.push_back(factors[g]);
    }
  }
  const double usual = known.empty() ? 1 : math::median_in_place(known);
  for (std::size_t g = 0; g < factors.size(); ++g) {
    if (sizes[g].size() < kFewestForNoise) {
      factors[g] = usual;
    }
  }
}

// Sets or clears a flag; 1 when that changed something.
int set_flag(TieRow& r, TieFlag flag, bool on) {
  const std::uint8_t before = r.flags;
  r.flags = static_cast<std::uint8_t>(on ? r.flags | flag : r.flags & ~flag);
  return r.flags != before ? 1 : 0;
}

bool finite(float v) {
  return std::isfinite(v);
}

}  // namespace

void estimate_noise(const TieSession& session,
                    const TermSet& without,
                    TieNoise& noise) {
  std::vector<std::vector<double>> phase(session.groups.size()),
      code(session.groups.size());
  for (const TieSight& s : session.sights) {
    if (!s.modelled) {
      continue;
    }
    for (const TieRow& r : session.rows_of(s)) {
      if (finite(r.phase_residual_m) && (r.flags & kTieShortArc) == 0) {
        phase[r.group].push_back(
            std::abs(static_cast<double>(r.phase_residual_m)) /
            tie_phase_sigma_m(s, r, without));
      }
      if (finite(r.code_residual_m)) {
        code[r.group].push_back(
            std::abs(static_cast<double>(r.code_residual_m)) /
            tie_code_sigma_m(s, r, without));
      }
    }
  }
  fill(noise.phase_factor, phase);
  fill(noise.code_factor, code);
}

int edit_rows(TieSession& session,
              const TieNoise& noise,
              const TermSet& without,
              int round) {
  if (without.has(Term::kOutlierRejection)) {
    return 0;
  }
  const double limit =
      kLimits[std::min(static_cast<std::size_t>(round), kLimits.size() - 1)];
  int changed = 0;
  std::vector<int> seen(session.arcs.size(), 0), out(session.arcs.size(), 0);
  for (const TieSight& s : session.sights) {
    if (!s.modelled) {
      continue;
    }
    for (TieRow& r : session.rows_of(s)) {
      if (finite(r.code_residual_m)) {
        const double sigma_m =
            noise.code_factor[r.group] * tie_code_sigma_m(s, r, without);
        changed += set_flag(
            r,
            kTieCodeOut,
            std::abs(static_cast<double>(r.code_residual_m)) > limit * sigma_m);
      }
      if (finite(r.phase_residual_m)) {
        const double sigma_m =
            noise.phase_factor[r.group] * tie_phase_sigma_m(s, r, without);
        changed +=
            set_flag(r,
                     kTiePhaseOut,
                     std::abs(static_cast<double>(r.phase_residual_m)) >
                         std::max(kSmallestPhaseLimitM, limit * sigma_m));
        ++seen[r.arc];
        out[r.arc] += (r.flags & kTiePhaseOut) != 0 ? 1 : 0;
      }
    }
  }
  for (std::size_t a = 0; a < session.arcs.size(); ++a) {
    session.arcs[a].holdable = out[a] <= kLargestShareOut * seen[a];
  }
  return changed;
}

}  // namespace stillpoint::solve

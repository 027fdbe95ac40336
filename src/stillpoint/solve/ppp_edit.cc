#include "stillpoint/solve/ppp_edit.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

constexpr std::size_t kFewestForNoise = 40;
constexpr double kBridgedM = 0.003;
constexpr double kToSigma = 1.4826;  // of a normal law's median deviation
constexpr double kSmallestFactor = 0.1, kLargestFactor = 100;
constexpr std::array kLimits{20.0, 8.0, 6.0};
constexpr double kSmallestPhaseLimitM = 0.025;
// A step inside an arc: so large, and so many sigmas of its two means, where
// neighbouring residuals are alike.
constexpr double kStepM = 0.04, kStepSigmas = 12;
constexpr std::size_t kFewestBesideStep = 4;

std::size_t system_of(const PppRow& row) {
  return static_cast<std::size_t>(row.sat.system);
}

bool has_phase(const PppRow& row) {
  return row.modelled() && (row.flags & kRowShortArc) == 0 &&
         std::isfinite(row.phase_residual_m);
}

double spread(std::vector<double>& sizes) {
  return kToSigma * math::median_in_place(sizes);
}

void fill(std::array<double, kSystemCount>& factors,
          std::array<std::vector<double>, kSystemCount>& sizes) {
  std::vector<double> known;
  for (std::size_t s = 0; s < kSystemCount; ++s) {
    if (sizes[s].size() >= kFewestForNoise) {
      factors[s] =
          std::clamp(spread(sizes[s]), kSmallestFactor, kLargestFactor);
      known.push_back(factors[s]);
    }
  }
  const double usual = known.empty() ? 1 : math::median(known);
  for (std::size_t s = 0; s < kSystemCount; ++s) {
    if (sizes[s].size() < kFewestForNoise) {
      factors[s] = usual;
    }
  }
}

// Sets or clears a flag; true when that changed something.
bool set_flag(PppRow& row, PppFlag flag, bool on) {
  const std::uint8_t before = row.flags;
  row.flags =
      static_cast<std::uint8_t>(on ? row.flags | flag : row.flags & ~flag);
  return row.flags != before;
}

// Where a series of residuals steps, by the largest standardised difference of
// the means before and after; 0: nowhere.
std::size_t find_step(const std::vector<double>& v, double sigma_m) {
  const std::size_t n = v.size();
  double total = 0;
  for (const double x : v) {
    total += x;
  }
  double before = 0, best = 0;
  std::size_t at = 0;
  for (std::size_t k = 1; k < n; ++k) {
    before += v[k - 1];
    const auto left = static_cast<double>(k);
    const auto right = static_cast<double>(n - k);
    if (k < kFewestBesideStep || n - k < kFewestBesideStep) {
      continue;
    }
    const double difference = before / left - (total - before) / right;
    const double sigmas =
        std::abs(difference) / (sigma_m * std::sqrt(1 / left + 1 / right));
    // The jump itself, not only the means, has to stand out.
    const std::size_t near = std::min<std::size_t>({5, k, n - k});
    double jump = 0;
    for (std::size_t j = 0; j < near; ++j) {
      jump += (v[k - 1 - j] - v[k + j]) / static_cast<double>(near);
    }
    if (std::abs(jump) > kStepM && sigmas > kStepSigmas && sigmas > best) {
      best = sigmas;
      at = k;
    }
  }
  return at;
}

int split_arcs(PppSession& session,
               const PppNoise& noise,
               const TermSet& without) {
  const std::size_t arcs = session.arcs.size();
  struct Member {
    std::uint32_t row, epoch;
  };
  std::vector<std::vector<Member>> members(arcs);
  for (std::uint32_t k = 0; k < session.epochs.size(); ++k) {
    const PppEpoch& e = session.epochs[k];
    for (std::uint32_t i = e.first; i < e.first + e.count; ++i) {
      if (has_phase(session.rows[i])) {
        members[session.rows[i].arc].push_back({i, k});
      }
    }
  }
  int count = 0;
  std::vector<double> v;
  for (std::size_t a = 0; a < arcs; ++a) {
    if (members[a].size() < 2 * kFewestBesideStep) {
      continue;
    }
    v.clear();
    double sigma_m = 0;
    for (const Member& m : members[a]) {
      const PppRow& r = session.rows[m.row];
      v.push_back(r.phase_residual_m);
      sigma_m += std::hypot(phase_sigma_m(r, without) *
                                noise.phase_factor[system_of(r)],
                            static_cast<double>(r.between_m)) /
                 static_cast<double>(members[a].size());
    }
    const std::size_t at = find_step(v, sigma_m);
    if (at == 0) {
      continue;
    }
    PppArc later = session.arcs[a];
    session.arcs[a].last = session.epochs[members[a][at - 1].epoch].time;
    session.arcs[a].rows = static_cast<int>(at);
    later.first = session.epochs[members[a][at].epoch].time;
    later.rows = static_cast<int>(members[a].size() - at);
    for (std::size_t j = at; j < members[a].size(); ++j) {
      session.rows[members[a][j].row].arc =
          static_cast<std::uint32_t>(session.arcs.size());
    }
    session.rows[members[a][at].row].flags |= kRowSlip;
    session.arcs.push_back(later);
    ++count;
  }
  return count;
}

}  // namespace

void estimate_noise(const PppSession& session,
                    const TermSet& without,
                    PppNoise& noise) {
  std::array<std::vector<double>, kSystemCount> phase, code;
  for (const PppRow& r : session.rows) {
    if (!r.modelled() || !std::isfinite(r.code_residual_m)) {
      continue;
    }
    const std::size_t s = system_of(r);
    code[s].push_back(std::abs(static_cast<double>(r.code_residual_m)) /
                      code_sigma_m(r, without));
    // A bridged clock says nothing about the receiver's noise.
    if (has_phase(r) && r.between_m < kBridgedM) {
      phase[s].push_back(std::abs(static_cast<double>(r.phase_residual_m)) /
                         phase_sigma_m(r, without));
    }
  }
  fill(noise.phase_factor, phase);
  fill(noise.code_factor, code);
}

EditCount edit_rows(PppSession& session,
                    const PppNoise& noise,
                    const TermSet& without,
                    int round) {
  EditCount count;
  if (without.has(Term::kOutlierRejection)) {
    return count;
  }
  const double limit =
      kLimits[std::min(static_cast<std::size_t>(round), kLimits.size() - 1)];
  for (PppRow& r : session.rows) {
    if (!r.modelled() || !std::isfinite(r.code_residual_m)) {
      continue;
    }
    const std::size_t s = system_of(r);
    const double code_limit_m =
        limit * noise.code_factor[s] * code_sigma_m(r, without);
    count.changed += set_flag(
        r,
        kRowCodeOut,
        std::abs(static_cast<double>(r.code_residual_m)) > code_limit_m);
    if (!has_phase(r)) {
      continue;
    }
    const double sigma_m =
        std::hypot(noise.phase_factor[s] * phase_sigma_m(r, without),
                   static_cast<double>(r.between_m));
    const double phase_limit_m =
        std::max(kSmallestPhaseLimitM, limit * sigma_m);
    count.changed += set_flag(
        r,
        kRowPhaseOut,
        std::abs(static_cast<double>(r.phase_residual_m)) > phase_limit_m);
  }
  count.split = split_arcs(session, noise, without);
  return count;
}

}  // namespace stillpoint::solve

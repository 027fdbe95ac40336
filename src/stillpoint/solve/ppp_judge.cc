// Whether a phase solution may be relied on, and why not.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/code_solver.h"
#include "stillpoint/solve/ppp_state.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve {
namespace {

// Beyond this one sigma the ambiguities have not separated from the position.
constexpr double kUsableSigmaM = 0.15;
// Phases that disagree by so many times their usual noise (4 mm at the zenith)
// are not explained by noise.
constexpr double kUsableNoiseFactor = 12;
// Nor are phases that fit to a decimetre only.
constexpr double kUsablePhaseM = 0.10;
constexpr double kShortestS = 600;
constexpr double kWantedM = 0.01;

// Codes of a satellite against the position, mean of an arc: biases that nobody
// states come to a metre; orbits or clocks of another time to many.
constexpr double kUsableCodeSpreadM = 2.5;

// Robust spread of the arcs' mean code residuals. GLONASS is left out: its
// codes differ by channel in every receiver.
double code_spread_m(const PppSession& session) {
  struct Mean {
    double sum = 0;
    int count = 0;
  };
  std::vector<Mean> means(session.arcs.size());
  for (const PppRow& r : session.rows) {
    if (r.modelled() && std::isfinite(r.code_residual_m) &&
        r.sat.system != System::kGlonass) {
      means[r.arc].sum += r.code_residual_m;
      ++means[r.arc].count;
    }
  }
  constexpr int kFewestRows = 20;
  std::vector<double> sizes;
  for (const Mean& mean : means) {
    if (mean.count >= kFewestRows) {
      sizes.push_back(std::abs(mean.sum / mean.count));
    }
  }
  return sizes.size() < 4 ? 0 : 1.4826 * math::median_in_place(sizes);
}

std::string duration_words(double seconds) {
  const long minutes = std::lround(seconds / 60);
  return minutes < 60
             ? fmt::format("{} min", minutes)
             : fmt::format("{} h {:02} min", minutes / 60, minutes % 60);
}

double worst(const std::array<double, 3>& sigma) {
  return *std::max_element(sigma.begin(), sigma.end());
}

std::string span_words(const char* what,
                       const std::optional<GnssTime>& first,
                       const std::optional<GnssTime>& last) {
  if (!first || !last) {
    return {};
  }
  return fmt::format("; the {} reach from {} to {}",
                     what,
                     format_utc(*first),
                     format_utc(*last));
}

// What most observations were left out for: that, not the products' span, may
// be what ails the data.
std::string exclusion_words(const Counts& counts) {
  std::array<int, kExclusionCount> sums{};
  for (const auto& [sat, reasons] : counts.excluded) {
    for (std::size_t r = 0; r < reasons.size(); ++r) {
      sums[r] += reasons[r];
    }
  }
  constexpr std::array<const char*, kExclusionCount> kWords{
      "without an orbit or a clock",
      "of unhealthy satellites",
      "below the elevation mask",
      "without code and phase on two frequencies",
      "outliers",
      "in epochs with too few satellites",
      "of systems not used",
      "of satellites that the antenna files do not have",
      "in arcs that are too short"};
  std::string words;
  for (std::size_t r = 0; r < sums.size(); ++r) {
    if (sums[r] > 0) {
      words += fmt::format(
          "{} {} {}", words.empty() ? "; left out:" : ",", sums[r], kWords[r]);
    }
  }
  return words;
}

// Systems of which no satellite has an orbit and a clock in the middle.
std::string missing_systems(const PppSolver::State& s) {
  const PppEpoch& middle = s.session.epochs[s.session.epochs.size() / 2];
  std::array<int, kSystemCount> seen{}, known{};
  for (const PppRow& r : s.session.rows_of(middle)) {
    ++seen[static_cast<std::size_t>(r.sat.system)];
    known[static_cast<std::size_t>(r.sat.system)] +=
        s.orbits->state(r.sat, middle.time) ? 1 : 0;
  }
  std::string words;
  for (const System system : kSystems) {
    const auto index = static_cast<std::size_t>(system);
    if (seen[index] > 0 && known[index] == 0) {
      words += fmt::format("{} {}",
                           words.empty() ? "; without orbits or clocks:" : ",",
                           system_name(system));
    }
  }
  return words;
}

// "± 6 mm after 3 h 20 min; 10 mm will take about …"
std::string growth_words(const Solution& out, double span_s) {
  const double sigma = worst(out.sigma_without_calibration_enu_m);
  std::string words = fmt::format("worst component ±{:.0f} mm after {}",
                                  std::max(1.0, sigma * 1000),
                                  duration_words(span_s));
  if (sigma > kWantedM) {
    // Errors with a memory average out about as the square root of time once
    // the ambiguities are apart; faster before.
    const double needed_s = span_s * (sigma / kWantedM) * (sigma / kWantedM);
    words += needed_s > 10 * 86400
                 ? "; 10 mm will take days"
                 : fmt::format("; 10 mm will take about {} in all",
                               duration_words(needed_s));
  }
  return words;
}

// "; 17 of 21 ambiguities are integers, from …", or why none is.
std::string integer_words(const PppSolver::State& s, const Solution& out) {
  if (out.fixed) {
    const std::string given_up =
        s.integers.released == 0
            ? std::string()
            : fmt::format(", {} disagreed with theirs and {} given up",
                          s.integers.released,
                          s.integers.released == 1 ? "was" : "were");
    return fmt::format("; {} of {} ambiguities are integers, from {}{}",
                       out.ambiguities_fixed,
                       out.ambiguities,
                       out.integers_from,
                       given_up);
  }
  return s.integers.why_not.empty()
             ? std::string()
             : "; without integers: " + s.integers.why_not;
}

}  // namespace

std::string why_no_position(const PppSolver::State& s) {
  if (s.session.epochs.empty()) {
    return "the observation files hold no epoch in the time asked for";
  }
  if (s.session.rows.empty()) {
    return "no satellite has code and phase on two frequencies";
  }
  if (s.epochs_tried > 0 && s.session.arcs.empty()) {
    return "codes, orbits and clocks do not fit together at any epoch: the "
           "orbits or the clocks belong to another time, or to each other's "
           "agency";
  }
  const PppAids& aids = s.options.aids;
  std::string why = fmt::format(
      "no epoch between {} and {} has enough satellites with orbit, clock and "
      "code and phase on two frequencies",
      format_utc(s.session.epochs.front().time),
      format_utc(s.session.epochs.back().time));
  why += exclusion_words(s.counts) + missing_systems(s);
  why += span_words("orbits", aids.orbits_first, aids.orbits_last);
  why += span_words("clocks", aids.clocks_first, aids.clocks_last);
  return why;
}

void judge(const PppSolver::State& s, Solution& out) {
  const double span_s = (*out.last - *out.first).s + s.session.interval_s;
  out.status = SolveStatus::kNotConverged;
  const auto& factors = out.systems;
  const bool noisy =
      out.phase_rms_m.value_or(0) > kUsablePhaseM ||
      std::any_of(factors.begin(), factors.end(), [](const SystemFit& f) {
        return f.noise_factor > kUsableNoiseFactor;
      });
  const std::string growth = growth_words(out, span_s) + integer_words(s, out);
  const double spread_m = code_spread_m(s.session);
  if (s.arcs.jump) {
    out.why = fmt::format(
        "the antenna moved by {:.2f} m at {}: locate what was recorded before "
        "and after by itself, with --end and --start",
        s.arcs.jump->size_m,
        format_utc(s.arcs.jump->time));
  } else if (spread_m > kUsableCodeSpreadM) {
    out.why = fmt::format(
                  "codes and phases disagree by {:.1f} m from satellite to "
                  "satellite: "
                  "orbits or clocks do not belong to these data; ",
                  spread_m) +
              growth;
  } else if (noisy) {
    out.why =
        "the phases disagree far beyond their noise: the antenna moved, "
        "products of different agencies or days are mixed, or a correction "
        "was left out; " +
        growth;
  } else if (span_s < kShortestS ||
             worst(out.sigma_without_calibration_enu_m) > kUsableSigmaM) {
    out.why =
        "too little data to tell ambiguities and position apart: " + growth;
  } else if (!s.settled) {
    out.why = "position and choice of outliers did not settle; " + growth;
  } else {
    out.status = SolveStatus::kConverged;
    out.why = growth;
  }
}

std::array<double, 3> calibration_sigma_enu_m(Calibration level,
                                              double elevation_mask_rad) {
  if (level == Calibration::kFull) {
    return {0.003, 0.003, 0.003};
  }
  auto sigma = uncalibrated_sigma_enu_m(elevation_mask_rad);
  if (level == Calibration::kOffset) {
    for (double& component : sigma) {
      component /= 2;
    }
  }
  return sigma;
}

}  // namespace stillpoint::solve

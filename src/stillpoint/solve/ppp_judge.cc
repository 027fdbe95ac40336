// Whether a phase solution may be relied on, and why not.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

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
constexpr double kShortestS = 600;
constexpr double kWantedM = 0.01;

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

}  // namespace

std::string why_no_position(const PppSolver::State& s) {
  if (s.session.epochs.empty()) {
    return "the observation files hold no epoch in the time asked for";
  }
  if (s.session.rows.empty()) {
    return "no satellite has code and phase on two frequencies";
  }
  const PppAids& aids = s.options.aids;
  std::string why = fmt::format(
      "no epoch between {} and {} has enough satellites with orbit, clock and "
      "code and phase on two frequencies",
      format_utc(s.session.epochs.front().time),
      format_utc(s.session.epochs.back().time));
  int left_out = 0;
  for (const auto& [sat, reasons] : s.counts.excluded) {
    left_out +=
        reasons[static_cast<std::size_t>(Exclusion::kNoAntenna)] > 0 ? 1 : 0;
  }
  if (left_out > 0) {
    why += fmt::format(
        "; {} satellites were left out because the antenna files "
        "do not have them",
        left_out);
  }
  why += span_words("orbits", aids.orbits_first, aids.orbits_last);
  why += span_words("clocks", aids.clocks_first, aids.clocks_last);
  return why;
}

void judge(const PppSolver::State& s, Solution& out) {
  const double span_s = (*out.last - *out.first).s + s.session.interval_s;
  out.status = SolveStatus::kNotConverged;
  const auto& factors = out.systems;
  const bool noisy =
      std::any_of(factors.begin(), factors.end(), [](const SystemFit& f) {
        return f.noise_factor > kUsableNoiseFactor;
      });
  const std::string growth = growth_words(out, span_s);
  if (noisy) {
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

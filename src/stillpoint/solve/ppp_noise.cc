#include "stillpoint/solve/ppp_noise.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

constexpr double kPhaseM = 0.004, kCodeM = 0.5;
constexpr double kWeakDbhz = 36;
// Share of the variance at the zenith that does not grow towards the horizon.
constexpr double kConstantShare = 0.1;
// A code's error lasts for a minute and more: its weight is that of one in so
// many. What it is wrong by for the whole day is in the sigma (ppp_sigma.cc).
constexpr double kCodeRepetition = 5;

double shape(const PppRow& row, const TermSet& without) {
  double variance = 1;
  if (!without.has(Term::kElevationWeights)) {
    const double sine =
        std::max(0.05, std::sin(static_cast<double>(row.elevation_rad)));
    variance = kConstantShare + (1 - kConstantShare) / (sine * sine);
  }
  const double cn0 = row.cn0_dbhz;
  if (!without.has(Term::kCn0Weights) && is_present(cn0) && cn0 < kWeakDbhz) {
    variance *= std::pow(10, (kWeakDbhz - std::max(cn0, 10.0)) / 10);
  }
  return std::sqrt(variance);
}

std::size_t system_of(const PppRow& row) {
  return static_cast<std::size_t>(row.sat.system);
}

}  // namespace

double phase_sigma_m(const PppRow& row, const TermSet& without) {
  return kPhaseM * shape(row, without);
}

double code_sigma_m(const PppRow& row, const TermSet& without) {
  return kCodeM * shape(row, without);
}

double phase_weight(const PppRow& row,
                    const PppNoise& noise,
                    const TermSet& without) {
  const double sigma =
      noise.phase_factor[system_of(row)] * phase_sigma_m(row, without);
  const double between = row.between_m;
  return 1 / (sigma * sigma + between * between);
}

double code_weight(const PppRow& row,
                   const PppNoise& noise,
                   const TermSet& without) {
  const double sigma =
      noise.code_factor[system_of(row)] * code_sigma_m(row, without);
  return 1 / (kCodeRepetition * sigma * sigma);
}

}  // namespace stillpoint::solve

#include "stillpoint/solve/tie_noise.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

constexpr double kPhaseM = 0.003, kCodeM = 0.45;  // of a difference
constexpr double kWeakDbhz = 36;
constexpr double kConstantShare = 0.1;
// Memory of reflections, common practice: one to several minutes; no source.
constexpr double kMemoryS = 60;

double shape(const TieSight& s, const TieRow& r, const TermSet& without) {
  double variance = 1;
  if (!without.has(Term::kElevationWeights)) {
    const double sine =
        std::max(0.05, std::sin(static_cast<double>(s.elevation_rad)));
    variance = kConstantShare + (1 - kConstantShare) / (sine * sine);
  }
  const double cn0 = r.cn0_dbhz;
  if (!without.has(Term::kCn0Weights) && is_present(cn0) && cn0 > 0 &&
      cn0 < kWeakDbhz) {
    variance *= std::pow(10, (kWeakDbhz - std::max(cn0, 10.0)) / 10);
  }
  return std::sqrt(variance);
}

}  // namespace

double tie_phase_sigma_m(const TieSight& s,
                         const TieRow& r,
                         const TermSet& without) {
  return kPhaseM * shape(s, r, without);
}

double tie_code_sigma_m(const TieSight& s,
                        const TieRow& r,
                        const TermSet& without) {
  return kCodeM * shape(s, r, without);
}

double tie_repetition(double interval_s) {
  const double decay = std::exp(-std::max(0.01, interval_s) / kMemoryS);
  return (1 + decay) / (1 - decay);
}

double tie_phase_weight(const TieSight& s,
                        const TieRow& r,
                        const TieNoise& noise,
                        const TermSet& without,
                        double interval_s) {
  const double sigma =
      noise.phase_factor[r.group] * tie_phase_sigma_m(s, r, without);
  return 1 / (tie_repetition(interval_s) * sigma * sigma);
}

double tie_code_weight(const TieSight& s,
                       const TieRow& r,
                       const TieNoise& noise,
                       const TermSet& without,
                       double interval_s) {
  const double sigma =
      noise.code_factor[r.group] * tie_code_sigma_m(s, r, without);
  return 1 / (tie_repetition(interval_s) * sigma * sigma);
}

}  // namespace stillpoint::solve

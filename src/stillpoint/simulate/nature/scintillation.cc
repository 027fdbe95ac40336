#include "stillpoint/simulate/nature/scintillation.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/simulate/nature/gauss_markov.h"

namespace stillpoint::simulate {
namespace {

constexpr double kL1Hz = 1575.42e6;
constexpr double kDeepestPower = 1e-3;

// Quantile of the power by the quantile of a normal variable: the cube root
// of a gamma variable with mean 1 is nearly normal.
double fading_power(double normal, double s4) {
  const double variance = s4 * s4 / 9;  // 1/(9 m)
  const double root = 1 - variance + normal * std::sqrt(variance);
  return std::max(root * root * root, kDeepestPower);
}

}  // namespace

Scintillation scintillation(const RandomKey& key,
                            GnssTime t,
                            const ScintillationStrength& strength) {
  Scintillation s;
  if (strength.s4 > 0) {
    const double normal =
        gauss_markov(sub_key(key, 1), t, strength.power_correlation_s);
    s.power = fading_power(normal, strength.s4);
  }
  if (strength.sigma_phi_rad > 0) {
    s.phase_rad =
        strength.sigma_phi_rad *
        gauss_markov(sub_key(key, 2), t, strength.phase_correlation_s);
  }
  return s;
}

ScintillationStrength scale_scintillation(const ScintillationStrength& on_l1,
                                          double frequency_hz) {
  const double ratio = kL1Hz / frequency_hz;
  ScintillationStrength scaled = on_l1;
  scaled.s4 *= ratio * std::sqrt(ratio);
  scaled.sigma_phi_rad *= ratio;
  return scaled;
}

}  // namespace stillpoint::simulate

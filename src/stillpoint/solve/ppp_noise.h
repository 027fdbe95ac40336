// What is assumed of a row's noise before the data have spoken, and the
// factors by which they correct it.
#pragma once

#include <array>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/terms.h"

namespace stillpoint::solve {

struct PppNoise {
  // Estimated noise of each system over the a priori model's.
  std::array<double, kSystemCount> phase_factor, code_factor;
  PppNoise() {
    phase_factor.fill(1.0);
    code_factor.fill(1.0);
  }
};

// One sigma of an ionosphere-free phase and code at an elevation and C/N0 [m],
// before the factors. Shape: a tenth of the variance is constant, the rest
// grows with the square of the cosecant; below 36 dB-Hz with falling C/N0.
// Common practice; the shares were chosen on the residuals of three stations
// (docs/sigma.md).
double phase_sigma_m(const PppRow& row, const TermSet& without);
double code_sigma_m(const PppRow& row, const TermSet& without);

// Weights [1 / m^2]. A code counts for less than its noise says: what it is
// wrong by lasts for many epochs, the satellite's own share for the whole day.
double phase_weight(const PppRow& row,
                    const PppNoise& noise,
                    const TermSet& without);
double code_weight(const PppRow& row,
                   const PppNoise& noise,
                   const TermSet& without);

}  // namespace stillpoint::solve

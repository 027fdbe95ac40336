// What is assumed of the noise of a tie's rows before the data have spoken,
// and the factors by which they correct it.
#pragma once

#include <vector>

#include "stillpoint/solve/terms.h"
#include "stillpoint/solve/tie_rows.h"

namespace stillpoint::solve {

struct TieNoise {
  // By group: estimated noise over the a priori model's.
  std::vector<double> phase_factor, code_factor;
  explicit TieNoise(std::size_t groups = 0)
      : phase_factor(groups, 1.0), code_factor(groups, 1.0) {}
};

// One sigma of a difference of phases, of codes [m], before the factors: a
// tenth of the variance is constant, the rest grows with the square of the
// cosecant; below 36 dB-Hz with falling C/N0. Common practice, no source.
double tie_phase_sigma_m(const TieSight& s,
                         const TieRow& r,
                         const TermSet& without);
double tie_code_sigma_m(const TieSight& s,
                        const TieRow& r,
                        const TermSet& without);

// Reflections last for minutes: so many rows count as one.
//
//   interval_s   between epochs
double tie_repetition(double interval_s);

// Weights [1 / m^2].
double tie_phase_weight(const TieSight& s,
                        const TieRow& r,
                        const TieNoise& noise,
                        const TermSet& without,
                        double interval_s);
double tie_code_weight(const TieSight& s,
                       const TieRow& r,
                       const TieNoise& noise,
                       const TermSet& without,
                       double interval_s);

}  // namespace stillpoint::solve

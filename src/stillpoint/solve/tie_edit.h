// What the residuals of a tie say about noise and outliers.
#pragma once

#include "stillpoint/solve/terms.h"
#include "stillpoint/solve/tie_noise.h"
#include "stillpoint/solve/tie_rows.h"

namespace stillpoint::solve {

// Noise factors by group from the spread of the residuals (median absolute
// deviation, so that outliers do not count). Groups with too few rows take the
// median factor of the others.
void estimate_noise(const TieSession& session,
                    const TermSet& without,
                    TieNoise& noise);

// Marks rows whose residuals stand apart, lets those in again that do not; an
// arc that loses many is not to be an integer.
//
//   round     0, 1, 2 …: limits begin wide and end at 5 sigmas (2 cm at least
//             for phases)
//   returns   rows that changed
int edit_rows(TieSession& session,
              const TieNoise& noise,
              const TermSet& without,
              int round);

}  // namespace stillpoint::solve

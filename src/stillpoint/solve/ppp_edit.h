// What the residuals of an adjustment say about noise, outliers and slips.
#pragma once

#include "stillpoint/solve/ppp_noise.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/terms.h"

namespace stillpoint::solve {

// Noise factors by system from the spread of the residuals (median absolute
// deviation, so that outliers do not count). Systems with too few rows take
// the median factor of the others.
void estimate_noise(const PppSession& session,
                    const TermSet& without,
                    PppNoise& noise);

struct EditCount {
  int changed = 0;  // rows that were taken out or let in again
  int split = 0;    // arcs cut in two
};

// Marks rows whose residuals stand apart, lets those in again that do not, and
// cuts arcs whose residuals step.
//
//   round    0, 1, 2 …: limits begin wide, since one gross error pulls others
//            along, and end at 6 sigmas (2.5 cm at least for phases)
EditCount edit_rows(PppSession& session,
                    const PppNoise& noise,
                    const TermSet& without,
                    int round);

}  // namespace stillpoint::solve

// Relativistic delay of the signal's path in the Earth's field.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::models {

// How much longer the path is than the straight one (Shapiro delay): time
// runs slower near the mass.
//
//   satellite, receiver   in the same axes [m]
//   returns   [m], positive: add it to a computed range; 12 to 19 mm for a
//             satellite at 26,560 km seen from the ground; 0 where a point is
//             the Earth's centre
//   source    IERS Conventions (2010), eq. 11.17, for the Earth's mass alone,
//             times c; from memory
//   accuracy  the Sun's part is left out: it changes by micrometres between
//             satellites
double shapiro_delay_m(const Ecef& satellite, const Ecef& receiver);

}  // namespace stillpoint::models

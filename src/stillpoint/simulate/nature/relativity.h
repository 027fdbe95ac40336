// Clocks and light in the Earth's field.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

// Periodic term of a satellite's clock [s], to be added to its polynomial:
// -2 r v / c^2.
//
//   source    IS-GPS-200, 20.3.3.3.3.1 (general form)
double periodic_clock_s(const Ecef& position_m, const Ecef& velocity_mps);

// Lengthening of the ray by the Earth's mass [m], some 2 cm.
//
//   source    IERS Conventions (2010), eq. 11.17
double shapiro_m(const Ecef& satellite_m, const Ecef& receiver_m);

}  // namespace stillpoint::simulate

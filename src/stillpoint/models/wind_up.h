// Turn of the carrier phase with the antennas: a circularly polarised wave's
// phase shifts by a cycle when either antenna turns once about the ray.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/models/attitude.h"

namespace stillpoint::models {

// Phase wind-up [cycles]; times the wavelength it is added to the phase range:
// a full turn of the receiver's antenna clockwise as seen from above adds one
// cycle, a full turn of the satellite from its x to its y axis takes one away.
//
//   satellite    axes of the transmitter
//   satellite_m, receiver_m  in the same axes [m]
//   enu_R_ecef   of the receiver, whose antenna lies level, north mark north
//   previous_cyc the value of the epoch before, or 0; the result is the one
//                within half a cycle of it. Between epochs the true value must
//                change by less: at most 0.03 cycles in 30 s while turning
//   returns      previous_cyc where ray or dipoles have no direction
//   source       Wu, Wu, Hajj, Bertiger, Lichten, Manuscripta Geodaetica 18
//                (1993) p. 91; receiver's dipoles: north and west (any other
//                choice differs by a constant)
//   threads      pure; under 0.1 us
double wind_up_cyc(const BodyAxes& satellite,
                   const Ecef& satellite_m,
                   const Ecef& receiver_m,
                   const Mat3& enu_R_ecef,
                   double previous_cyc);

}  // namespace stillpoint::models

// Turn of the carrier phase when transmitter and receiver turn.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/simulate/nature/attitude.h"

namespace stillpoint::simulate {

// Phase wind-up [cycles]; times the wavelength it is added to the phase range.
// A full turn of the receiver's antenna clockwise as seen from above adds one
// cycle, a full turn of the satellite from its x to its y axis takes one away.
//
//   satellite_axes  of the transmitter
//   satellite_m, receiver_m  Earth-fixed axes of one instant
//   enu_R_ecef      of the receiver, whose antenna lies level, north mark north
//   previous_cyc    the value of the epoch before, or 0; the result is the one
//                   within half a cycle of it
//   source          Wu, Wu, Hajj, Bertiger, Lichten, Manuscripta Geodaetica 18
//                   (1993), p. 91, eqs 27, 30; receiver's axes: north and west
//                   (east and north would differ by a constant)
//   threads         pure
double wind_up_cyc(const BodyAxes& satellite_axes,
                   const Ecef& satellite_m,
                   const Ecef& receiver_m,
                   const Mat3& enu_R_ecef,
                   double previous_cyc);

}  // namespace stillpoint::simulate

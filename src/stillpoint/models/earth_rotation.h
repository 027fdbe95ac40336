// The Earth turns while a signal is on its way: positions of the satellite at
// sending time are brought into the axes of the receiving time.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::models {

// Nominal angular velocity; GPS, QZSS and Galileo use this number, BeiDou and
// GLONASS 7.292115e-5 (0.015 um of range apart).
//
//   source   IS-GPS-200, 20.3.3.4.3
inline constexpr double kEarthRateRadPerS = 7.2921151467e-5;

// The same point in space, in Earth-fixed axes of `flight_time_s` later.
//
//   p              in Earth-fixed axes of the sending time [m] (or [m/s])
//   flight_time_s  about 0.07 for a navigation satellite
//   returns        R3(omega tau) p: exact, no small-angle approximation
Ecef rotate_with_earth(const Ecef& p, double flight_time_s);

// First-order effect on the range, for cross-checks and budgets.
//
//   satellite   in axes of the sending time [m]
//   returns     [m]: |satellite - receiver| + this = range, within 1 mm for
//               navigation satellites; at most about 40 m
//   source      N. Ashby, Living Rev. Relativity 6 (2003) 1; from memory
double sagnac_first_order_m(const Ecef& satellite, const Ecef& receiver);

}  // namespace stillpoint::models

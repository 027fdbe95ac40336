// How far the ground moves because the Earth's rotation axis wanders.
#pragma once

#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Displacement by the solid Earth pole tide against the secular pole.
//
//   station   near the surface; its geodetic latitude is used (0.02 mm from
//             the geocentric one)
//   eop       pole of the time; without one, do not call: a pole of zero is
//             not the mean pole
//   returns   [m], at most some 25 mm up, 7 mm level (IERS text, from memory)
//   source    IERS Conventions (2010), ch. 7.1.4, equations 24 to 26, with the
//             secular pole of the update of 2018
//   accuracy  0.1 um against the formula worked out independently
//   threads   pure; under 1 us
Ecef pole_tide_m(const Ecef& station, const EarthOrientation& eop, GnssTime t);

}  // namespace stillpoint::models

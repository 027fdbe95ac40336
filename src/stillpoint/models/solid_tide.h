// How far Sun and Moon move the ground at a station.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/models/sun_moon.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Displacement by the solid Earth tide: instantaneous station less the
// conventional tide-free one, to which the coordinates of the ITRF refer. The
// permanent part stays in the displacement.
//
//   station     within some 10 km of the surface
//   sun_moon    at t, the same axes as the station
//   t           for the phases of step 2 alone; UT1 - UTC is left out there
//               (under 1 um)
//   returns     [m], at most about 0.4; {} for a station nearer to the centre
//               of the Earth than 1000 km, where the model means nothing
//   source      IERS Conventions (2010), ch. 7.1.1, steps 1 and 2: degrees 2
//               and 3, latitude dependence, out-of-phase parts, frequency
//               dependence
//   accuracy    0.1 mm against the published routine, its 1000 random cases
//               (largest 0.100 mm, median 0.022 mm), by the rounded list of
//               step 2; of the model, some tenths of a millimetre (from memory)
//   threads     pure; some 3 us
Ecef solid_tide_m(const Ecef& station, const SunMoon& sun_moon, GnssTime t);

}  // namespace stillpoint::models

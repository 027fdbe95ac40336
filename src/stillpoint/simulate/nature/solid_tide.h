// How the solid Earth under a station yields to Sun and Moon.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/simulate/nature/sun_moon.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Displacement of a point on the ground [m], Earth-fixed axes, to be added to
// a conventional (tide-free) coordinate. The permanent part stays in.
//
//   station   near the Earth's surface, not within 1 m of the axis
//   bodies    Sun and Moon, Earth-fixed
//   t         for the arguments of the frequency-dependent corrections
//   accuracy  0.2 mm against the published cases
//   source    IERS Conventions (2010), section 7.1.1: step 1 (eqs 5 to 11),
//             step 2 (eqs 12, 13); the table of step 2 is the one in
//             shared/models/solid_tide_step2.csv, which the estimator may
//             share; everything else is written for this folder
//   threads   pure
Ecef solid_tide_m(const Ecef& station, const SunMoon& bodies, GnssTime t);

// The two steps alone, for tests and for leaving one out.
Ecef solid_tide_step1_m(const Ecef& station, const SunMoon& bodies);
Ecef solid_tide_step2_m(const Ecef& station, GnssTime t);

}  // namespace stillpoint::simulate

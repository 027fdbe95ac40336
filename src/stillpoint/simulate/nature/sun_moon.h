// Where Sun and Moon stand over the rotating Earth of the simulated world.
// Own short series, independent of the estimator's.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Geocentric positions [m] in Earth-fixed axes. Polar motion and nutation are
// left out, and UT1 is taken as UTC.
struct SunMoon {
  Ecef sun_m;
  Ecef moon_m;
};

// Positions at an instant.
//
//   accuracy  2000 .. 2038, against ERFA with UT1 = UTC: Sun 0.006 deg and 5e-5
//             of its distance, Moon 0.005 deg and 3e-5; UT1 = UTC turns both by
//             up to 0.004 deg more
//   source    Meeus, "Astronomical Algorithms" (2nd edition, 1998), chapters
//             12, 22, 25, 47 (largest terms, from memory)
//   threads   pure
SunMoon sun_moon(GnssTime t);

// Greenwich mean sidereal time with UT1 = UTC [rad], [0, 2 pi).
//
//   source    IAU 1982 formula (Meeus, chapter 12)
double mean_sidereal_rad(GnssTime t);

// Julian centuries of terrestrial time since J2000.0 (TT = GPST + 51.184 s).
double julian_centuries_tt(GnssTime t);

// Hours of UTC since midnight, [0, 24).
double utc_hour(GnssTime t);

}  // namespace stillpoint::simulate

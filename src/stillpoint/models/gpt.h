// Global Pressure and Temperature: mean weather of the season at a place,
// without a grid. Good for an a priori hydrostatic delay, not for the day's
// weather.
#pragma once

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Heights for which the troposphere models answer, above the ellipsoid.
inline constexpr double kLowestSiteM = -500;
inline constexpr double kHighestSiteM = 9000;

struct SurfaceWeather {
  double pressure_hpa = 0;
  double temperature_c = 0;
  double undulation_m = 0;  // geoid above ellipsoid, of the model
};

// Pressure and temperature at a place on a day; only the yearly wave is in it.
//
//   site      height above the ellipsoid, kLowestSiteM .. kHighestSiteM
//   returns   [hPa], [deg C], [m]
//   errors    kOutOfRange outside those heights or for a non-finite place
//   accuracy  1e-12 against the published test value. Of the model: about
//             5 hPa in the tropics to 15 hPa near the poles (one sigma, from
//             memory); 1 hPa is 2.3 mm of zenith delay
//   source    Boehm, Heinkelmann, Schuh, J. Geod. 81 (2007) 679,
//             doi:10.1007/s00190-007-0135-3; IERS Conventions (2010) ch. 9
//   threads   pure
Result<SurfaceWeather> gpt(const Geodetic& site, GnssTime t);

// kOutOfRange with the value when a troposphere model cannot serve the place.
Status check_site(const Geodetic& site);

// Phase of the yearly wave of GPT and GMF [rad]; zero on 28 January.
double season_rad(GnssTime t);

}  // namespace stillpoint::models

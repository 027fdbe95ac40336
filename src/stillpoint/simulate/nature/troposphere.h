// The neutral atmosphere over a station of the simulated world.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Hydrostatic delay towards the zenith [m].
//
//   pressure_hpa  at the station
//   source        Saastamoinen (1972) in the form of Davis et al., Radio
//                 Science 20 (1985), p. 1593; IERS Conventions (2010), eq. 9.7
double zenith_hydrostatic_m(double pressure_hpa,
                            double lat_rad,
                            double height_m);

// Pressure of a standard atmosphere at a height [hPa].
//
//   sea_level_hpa  1013.25 usually
//   height_m       below 11 km; geometric and geopotential metres are not told
//                  apart (0.5 hPa at 5 km)
//   source         ISO 2533, standard atmosphere, from memory
double standard_pressure_hpa(double height_m, double sea_level_hpa = 1013.25);

// State of the air above a station at one instant.
struct Atmosphere {
  double zenith_hydrostatic_m = 0;
  double zenith_wet_m = 0;
  // First coefficients of the mapping functions; the usual ones of middle
  // latitudes by default.
  double ah = 0.00125, aw = 0.00057;
  // Gradients [m]: the slant delay grows towards positive north and east.
  double gradient_north_m = 0, gradient_east_m = 0;
};

// Delay along a ray divided by the delay towards the zenith.
struct Mapping {
  double hydrostatic = 1;
  double wet = 1;
};

// Mapping functions in the form VMF1; the hydrostatic one with the correction
// for the station's height.
//
//   elev_rad  above the horizon, from 3 degrees on
//   accuracy  1e-9 against the published values
//   source    Boehm, Werl, Schuh, JGR 111 (2006) B02406; height correction:
//             Niell, JGR 101 (1996), p. 3227
Mapping map_to_slant(
    double ah, double aw, const Geodetic& station, GnssTime t, double elev_rad);

// Gradient mapping function 1/(sin e tan e + C).
//
//   source    Chen & Herring, JGR 102 (1997), p. 20489; C = 0.0032
//             (IERS Conventions 2010, section 9.2)
double gradient_mapping(double elev_rad);

// The parts of a slant delay [m].
struct SlantDelay {
  double hydrostatic_m = 0;
  double wet_m = 0;
  double gradient_m = 0;
  [[nodiscard]] double total_m() const {
    return hydrostatic_m + wet_m + gradient_m;
  }
};

// Delay towards a satellite, the same for code and phase of all signals.
//
//   direction  elevation from 3 degrees on
//   threads    pure
SlantDelay troposphere_delay(const Atmosphere& air,
                             const Geodetic& station,
                             GnssTime t,
                             const AzEl& direction);

}  // namespace stillpoint::simulate

// NTCM-G: slant electron content from Galileo's three broadcast parameters,
// in a handful of closed formulas instead of an integral along the ray.
#pragma once

#include <array>

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Slant electron content between receiver and satellite.
//
//   ai         ai0, ai1, ai2 as broadcast; all three zero: the message's
//              default, ai0 = 63.7 (from memory)
//   receiver   on or near the ground
//   direction  azimuth and elevation on the WGS84 ellipsoid; below the
//              horizon taken as 0
//   t          the model sees UTC: day of year and hour
//   returns    [TECU = 1e16 electrons/m^2], >= 0
//   accuracy   5e-5 TECU against the 108 printed rows; of the model: tens of
//              per cent of the content (from memory)
//   source     European Commission, "NTCM-G Ionospheric Model Description"
//              v1.0 (2022)
//   threads    pure
double ntcm_g_slant_tecu(const std::array<double, 3>& ai,
                         const Geodetic& receiver,
                         const AzEl& direction,
                         GnssTime t);

// Delay of the code on a frequency [m]; the phase is advanced by as much.
double ntcm_g_delay_m(const std::array<double, 3>& ai,
                      const Geodetic& receiver,
                      const AzEl& direction,
                      GnssTime t,
                      double frequency_hz);

// Code delay of a slant electron content: 40.3e16 TECU / f^2.
//
//   source   same document; first-order term of the refractive index
double delay_of_tec_m(double slant_tecu, double frequency_hz);

}  // namespace stillpoint::models

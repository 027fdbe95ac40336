// Zenith delays of the neutral atmosphere from surface weather.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::models {

// Relative humidity where nobody measured it: what the vapour pressures and
// temperatures printed for GPT2 and GPT3 come to at middle latitudes (59 to
// 68 %; shared checks section 2.5, site at 48.2 N).
inline constexpr double kUsualHumidity = 0.65;

// Hydrostatic zenith delay.
//
//   pressure_hpa  at the antenna [hPa]
//   site          latitude and height; the height may be ellipsoidal (50 m
//                 are 0.03 mm)
//   returns       [m], about 2.3 at sea level
//   accuracy      0.5 mm beside the pressure's own error (2.3 mm per hPa)
//   source        Saastamoinen 1972 in the form of Davis et al., Radio Science
//                 20 (1985), eq. A11; doi:10.1029/RS020i006p01593
double zenith_hydrostatic_m(double pressure_hpa, const Geodetic& site);

// Wet zenith delay.
//
//   temperature_c         at the antenna [deg C]
//   vapour_pressure_hpa   partial pressure of water vapour [hPa]
//   returns               [m], 0 .. 0.4
//   accuracy              some centimetres: the surface says little about the
//                         vapour above it
//   source                Saastamoinen 1972, wet term 0.002277 (1255/T + 0.05)
//                         e; from memory
double zenith_wet_m(double temperature_c, double vapour_pressure_hpa);

// Partial pressure of water vapour.
//
//   temperature_c       [deg C], taken as -100 at least
//   relative_humidity   0 .. 1, clamped
//   returns             [hPa]
//   source              Magnus formula over water, WMO Guide to Instruments
//                       No. 8, annex 4.B: 6.112 exp(17.62 t / (243.12 + t));
//                       from memory
double vapour_pressure_hpa(double temperature_c, double relative_humidity);

}  // namespace stillpoint::models

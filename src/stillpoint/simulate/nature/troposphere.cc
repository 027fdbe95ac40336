#include "stillpoint/simulate/nature/troposphere.h"

#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;

// Marini's continued fraction, 1 at the zenith.
double fraction(double sin_elev, double a, double b, double c) {
  const double at_zenith = 1 + a / (1 + b / (1 + c));
  return at_zenith / (sin_elev + a / (sin_elev + b / (sin_elev + c)));
}

// Coefficient c of the hydrostatic function: latitude and season.
double hydrostatic_c(double lat_rad, double mjd_utc) {
  const bool north = lat_rad >= 0;
  const double phase = north ? 0 : kPi;
  const double c11 = north ? 0.005 : 0.007;
  const double c10 = north ? 0.001 : 0.002;
  // Days since 28 January 1980.
  const double days = mjd_utc - 44239 + 1 - 28;
  const double season = (std::cos(days / 365.25 * 2 * kPi + phase) + 1) / 2;
  return 0.062 + (season * c11 + c10) * (1 - std::cos(lat_rad));
}

}  // namespace

double zenith_hydrostatic_m(double pressure_hpa,
                            double lat_rad,
                            double height_m) {
  const double gravity =
      1 - 0.00266 * std::cos(2 * lat_rad) - 0.00028e-3 * height_m;
  return 0.0022768 * pressure_hpa / gravity;
}

double standard_pressure_hpa(double height_m, double sea_level_hpa) {
  // 6.5 K a kilometre from 288.15 K on.
  return sea_level_hpa * std::pow(1 - 0.0065 / 288.15 * height_m, 5.25588);
}

Mapping map_to_slant(double ah,
                     double aw,
                     const Geodetic& station,
                     GnssTime t,
                     double elev_rad) {
  const double s = std::sin(elev_rad);
  const double ch = hydrostatic_c(station.lat_rad, to_mjd(t, TimeScale::kUtc));
  Mapping m;
  m.hydrostatic = fraction(s, ah, 0.0029, ch);
  m.wet = fraction(s, aw, 0.00146, 0.04391);
  // Height: the difference of 1/sin e from a mapping of the lowest kilometre.
  const double per_km = 1 / s - fraction(s, 2.53e-5, 5.49e-3, 1.14e-3);
  m.hydrostatic += per_km * station.height_m / 1000;
  return m;
}

double gradient_mapping(double elev_rad) {
  return 1 / (std::sin(elev_rad) * std::tan(elev_rad) + 0.0032);
}

SlantDelay troposphere_delay(const Atmosphere& air,
                             const Geodetic& station,
                             GnssTime t,
                             const AzEl& direction) {
  const Mapping m =
      map_to_slant(air.ah, air.aw, station, t, direction.elevation_rad);
  SlantDelay d;
  d.hydrostatic_m = m.hydrostatic * air.zenith_hydrostatic_m;
  d.wet_m = m.wet * air.zenith_wet_m;
  d.gradient_m = gradient_mapping(direction.elevation_rad) *
                 (air.gradient_north_m * std::cos(direction.azimuth_rad) +
                  air.gradient_east_m * std::sin(direction.azimuth_rad));
  return d;
}

}  // namespace stillpoint::simulate

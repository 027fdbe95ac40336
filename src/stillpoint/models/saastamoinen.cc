#include "stillpoint/models/saastamoinen.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::models {

double zenith_hydrostatic_m(double pressure_hpa, const Geodetic& site) {
  // The gravity of the mass centre of the air column above the place.
  const double gravity =
      1 - 0.00266 * std::cos(2 * site.lat_rad) - 0.28e-6 * site.height_m;
  return 0.0022768 * pressure_hpa / gravity;
}

double zenith_wet_m(double temperature_c, double vapour_pressure_hpa) {
  const double kelvin = std::max(temperature_c, -100.0) + 273.15;
  return 0.002277 * (1255 / kelvin + 0.05) * vapour_pressure_hpa;
}

double vapour_pressure_hpa(double temperature_c, double relative_humidity) {
  const double t = std::max(temperature_c, -100.0);
  const double saturation_hpa = 6.112 * std::exp(17.62 * t / (243.12 + t));
  return saturation_hpa * std::clamp(relative_humidity, 0.0, 1.0);
}

}  // namespace stillpoint::models

#include "stillpoint/models/earth_rotation.h"

#include <cmath>

namespace stillpoint::models {

Ecef rotate_with_earth(const Ecef& p, double flight_time_s) {
  const double angle = kEarthRateRadPerS * flight_time_s;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  return {c * p.x_m + s * p.y_m, -s * p.x_m + c * p.y_m, p.z_m};
}

double sagnac_first_order_m(const Ecef& satellite, const Ecef& receiver) {
  return kEarthRateRadPerS / kSpeedOfLightMps *
         (satellite.x_m * receiver.y_m - satellite.y_m * receiver.x_m);
}

}  // namespace stillpoint::models

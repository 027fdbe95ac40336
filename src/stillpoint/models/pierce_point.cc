#include "stillpoint/models/pierce_point.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace stillpoint::models {

PiercePoint pierce_point(const Geodetic& receiver,
                         const AzEl& direction,
                         double radius_ratio) {
  const double psi =
      std::numbers::pi / 2 - direction.elevation_rad -
      std::asin(radius_ratio * std::cos(direction.elevation_rad));
  const double sin_lat = std::sin(receiver.lat_rad) * std::cos(psi) +
                         std::cos(receiver.lat_rad) * std::sin(psi) *
                             std::cos(direction.azimuth_rad);
  PiercePoint p;
  p.lat_rad = std::asin(std::clamp(sin_lat, -1.0, 1.0));
  // At a pole every longitude is right; the clamps keep the answer finite.
  const double cos_lat = std::max(std::cos(p.lat_rad), 1e-12);
  const double sin_lon =
      std::sin(psi) * std::sin(direction.azimuth_rad) / cos_lat;
  p.lon_rad = receiver.lon_rad + std::asin(std::clamp(sin_lon, -1.0, 1.0));
  return p;
}

}  // namespace stillpoint::models

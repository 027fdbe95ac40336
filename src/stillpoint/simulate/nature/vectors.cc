#include "stillpoint/simulate/nature/vectors.h"

#include <cmath>

namespace stillpoint::simulate {

Enu unit_enu(const AzEl& direction) {
  const double horizontal = std::cos(direction.elevation_rad);
  return {horizontal * std::sin(direction.azimuth_rad),
          horizontal * std::cos(direction.azimuth_rad),
          std::sin(direction.elevation_rad)};
}

}  // namespace stillpoint::simulate

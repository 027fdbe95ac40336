// Small vector helpers of the simulated world, beside those of geo.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

inline Ecef cross(const Ecef& a, const Ecef& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m,
          a.z_m * b.x_m - a.x_m * b.z_m,
          a.x_m * b.y_m - a.y_m * b.x_m};
}

// The vector divided by its length; the vector must not be zero.
inline Ecef unit(const Ecef& a) {
  return (1.0 / norm(a)) * a;
}

// Unit vector in east, north, up of a direction.
Enu unit_enu(const AzEl& direction);

}  // namespace stillpoint::simulate

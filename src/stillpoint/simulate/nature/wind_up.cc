#include "stillpoint/simulate/nature/wind_up.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {

double wind_up_cyc(const BodyAxes& satellite_axes,
                   const Ecef& satellite_m,
                   const Ecef& receiver_m,
                   const Mat3& enu_R_ecef,
                   double previous_cyc) {
  const Ecef k = unit(receiver_m - satellite_m);
  const Ecef north{enu_R_ecef[3], enu_R_ecef[4], enu_R_ecef[5]};
  const Ecef west{-enu_R_ecef[0], -enu_R_ecef[1], -enu_R_ecef[2]};
  // Effective dipoles of transmitter and receiver (eqs 27 a, b).
  const Ecef sent = satellite_axes.x - dot(k, satellite_axes.x) * k -
                    cross(k, satellite_axes.y);
  const Ecef received = north - dot(k, north) * k + cross(k, west);
  const double turn =
      std::atan2(dot(k, cross(sent, received)), dot(sent, received)) /
      (2 * std::numbers::pi);
  return turn + std::round(previous_cyc - turn);
}

}  // namespace stillpoint::simulate

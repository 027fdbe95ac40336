#include "stillpoint/models/wind_up.h"

#include <cmath>
#include <numbers>

namespace stillpoint::models {
namespace {

Ecef cross_of(const Ecef& a, const Ecef& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m,
          a.z_m * b.x_m - a.x_m * b.z_m,
          a.x_m * b.y_m - a.y_m * b.x_m};
}

// What a pair of crossed dipoles a, b, fed a quarter cycle apart, is worth to a
// ray along k: Wu et al.'s D with b = y, their D' with b = -y.
Ecef effective_dipole(const Ecef& a, const Ecef& b, const Ecef& k) {
  return a - dot(k, a) * k + cross_of(k, b);
}

}  // namespace

double wind_up_cyc(const BodyAxes& satellite,
                   const Ecef& satellite_m,
                   const Ecef& receiver_m,
                   const Mat3& enu_R_ecef,
                   double previous_cyc) {
  const Ecef ray = receiver_m - satellite_m;
  const double length = norm(ray);
  if (!(length > 0)) {
    return previous_cyc;
  }
  const Ecef k = (1 / length) * ray;
  const Ecef north{enu_R_ecef[3], enu_R_ecef[4], enu_R_ecef[5]};
  const Ecef west{-enu_R_ecef[0], -enu_R_ecef[1], -enu_R_ecef[2]};
  const Ecef sent = effective_dipole(satellite.x, -1.0 * satellite.y, k);
  const Ecef received = effective_dipole(north, west, k);
  const double sine = dot(k, cross_of(sent, received));
  const double cosine = dot(sent, received);
  if (!(std::abs(sine) + std::abs(cosine) > 0)) {
    return previous_cyc;
  }
  const double part_cyc = std::atan2(sine, cosine) / (2 * std::numbers::pi);
  return part_cyc + std::round(previous_cyc - part_cyc);
}

}  // namespace stillpoint::models

#include "stillpoint/simulate/nature/relativity.h"

#include <cmath>

namespace stillpoint::simulate {
namespace {

// Gravity times mass of the Earth [m^3/s^2]: IERS Conventions (2010), table
// 1.1.
constexpr double kEarthGm = 3.986004418e14;
constexpr double kC2 = kSpeedOfLightMps * kSpeedOfLightMps;

}  // namespace

double periodic_clock_s(const Ecef& position_m, const Ecef& velocity_mps) {
  // The Earth's rotation adds to the velocity at right angles to the position,
  // so that either frame's velocity will do.
  return -2 * dot(position_m, velocity_mps) / kC2;
}

double shapiro_m(const Ecef& satellite_m, const Ecef& receiver_m) {
  const double r_sat = norm(satellite_m), r_rec = norm(receiver_m);
  const double range = norm(satellite_m - receiver_m);
  return 2 * kEarthGm / kC2 *
         std::log((r_sat + r_rec + range) / (r_sat + r_rec - range));
}

}  // namespace stillpoint::simulate

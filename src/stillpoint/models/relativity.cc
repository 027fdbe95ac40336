#include "stillpoint/models/relativity.h"

#include <cmath>

namespace stillpoint::models {

double shapiro_delay_m(const Ecef& satellite, const Ecef& receiver) {
  constexpr double kEarthGmM3PerS2 = 3.986004418e14;  // TCG-compatible value
  const double radii = norm(satellite) + norm(receiver);
  const double range = norm(satellite - receiver);
  if (!(radii - range > 1e-3)) {
    return 0;  // through the Earth's centre: no ray of ours
  }
  return 2 * kEarthGmM3PerS2 / (kSpeedOfLightMps * kSpeedOfLightMps) *
         std::log((radii + range) / (radii - range));
}

}  // namespace stillpoint::models

#include "stillpoint/quality/expected_signals.h"

#include <cmath>

namespace stillpoint::quality {
namespace {

constexpr std::uint8_t kNumbers = 100;  // of a system's satellites
// Nearer to the Earth's centre stands nobody.
constexpr double kLeastRadiusM = 6e6;

}  // namespace

void ExpectedSignals::renew(GnssTime t,
                            const Ecef& position,
                            const OrbitSource& orbits) {
  elevations_rad_.fill(std::nullopt);
  const double radius_m = norm(position);
  if (!(radius_m > kLeastRadiusM && std::isfinite(radius_m))) {
    return;
  }
  const Mat3 axes = enu_R_ecef(to_geodetic(position));
  for (const System system : kSystems) {
    for (std::uint8_t number = 1; number < kNumbers; ++number) {
      const SatId sat{system, number};
      // The signal's flight turns it by less than a hundredth of a degree.
      if (const auto state = orbits.state(sat, t)) {
        elevations_rad_[static_cast<std::size_t>(sat.index())] =
            azimuth_elevation(axes, state->position_m - position).elevation_rad;
      }
    }
  }
}

void ExpectedSignals::add(GnssTime t,
                          const Ecef& position,
                          const OrbitSource& orbits,
                          std::uint64_t count) {
  if (!renewed_ || std::abs((t - *renewed_).s) >= kRenewS) {
    renew(t, position, orbits);
    renewed_ = t;
  }
  for (std::size_t i = 0; i < epochs_.size(); ++i) {
    epochs_[i] += elevations_rad_[i].value_or(0) >= kMaskRad ? count : 0;
  }
}

}  // namespace stillpoint::quality

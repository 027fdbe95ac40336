#include "stillpoint/aids/precise_source.h"

#include <cmath>

namespace stillpoint {
namespace {

// What a clock of a final product is worth beside its orbit [m] (0.07 ns);
// from memory, as in precise_orbits.cc.
constexpr double kClockSigmaM = 0.02;

}  // namespace

tl::expected<SatelliteState, NoState> PreciseSource::state(SatId sat,
                                                           GnssTime t) const {
  if (!has_clocks) {
    return orbits.state(sat, t);
  }
  auto found = orbits.place(sat, t);
  if (!found) {
    return found;
  }
  const auto clock = clocks.clock_at(sat, t);
  if (!clock) {
    return tl::unexpected(NoState::kNoClock);
  }
  found->clock_s = clock->clock_s;
  const double between = std::isnan(clock->interpolation_sigma_s)
                             ? 0
                             : kSpeedOfLightMps * clock->interpolation_sigma_s;
  found->range_sigma_m =
      std::sqrt(found->range_sigma_m * found->range_sigma_m +
                kClockSigmaM * kClockSigmaM + between * between);
  return found;
}

std::optional<double> PreciseSource::group_delay_s(SatId sat,
                                                   GnssTime t,
                                                   SignalCode signal) const {
  if (has_biases) {
    return biases.osb_s(sat, signal, false, t, orbits.glonass_channel(sat));
  }
  return orbits.group_delay_s(sat, t, signal);
}

}  // namespace stillpoint

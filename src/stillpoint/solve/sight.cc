#include "stillpoint/solve/sight.h"

#include "stillpoint/models/earth_rotation.h"

namespace stillpoint::solve {

Sight sight_of(const SatelliteState& state,
               const Ecef& antenna_m,
               bool earth_turns) {
  Sight s;
  // The state was taken at the satellite's own reading.
  const double clock_s = state.clock_s + state.relativity_s;
  const Ecef sent_m = state.position_m - clock_s * state.velocity_mps;
  double flight_s = norm(sent_m - antenna_m) / kSpeedOfLightMps;
  s.satellite_m = sent_m;
  // Twice: the second step is below a micrometre.
  for (int step = 0; step < 2 && earth_turns; ++step) {
    s.satellite_m = models::rotate_with_earth(sent_m, flight_s);
    flight_s = norm(s.satellite_m - antenna_m) / kSpeedOfLightMps;
  }
  const Ecef line = s.satellite_m - antenna_m;
  s.range_m = norm(line);
  s.unit = 1 / s.range_m * line;
  return s;
}

}  // namespace stillpoint::solve

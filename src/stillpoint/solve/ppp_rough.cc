// A place to start from: codes of single epochs, as `locate --method code`
// begins.
#include <cmath>

#include "stillpoint/solve/code_state.h"
#include "stillpoint/solve/ppp_geometry.h"

namespace stillpoint::solve {
namespace {

constexpr std::size_t kFewestSatellites = 5;
constexpr std::size_t kTries = 24;
constexpr double kAgreeM = 100;

std::vector<CodeMeasurement> measurements_of(const OrbitSource& orbits,
                                             const PppSession& session,
                                             const PppEpoch& epoch,
                                             CodeSession& groups) {
  std::vector<CodeMeasurement> out;
  for (const PppRow& r : session.rows_of(epoch)) {
    const GnssTime sent =
        epoch.time - Duration{r.code_first_m / kSpeedOfLightMps};
    const auto state = orbits.state(r.sat, sent);
    if (!state) {
      continue;
    }
    std::size_t group = 0;
    while (group < groups.groups.size() &&
           groups.groups[group].system != r.sat.system) {
      ++group;
    }
    if (group == groups.groups.size()) {
      groups.groups.push_back(
          {r.sat.system, r.code_first.band, r.code_second.band});
    }
    CodeMeasurement m;
    m.sat = r.sat;
    m.group = static_cast<std::uint8_t>(group);
    const double clock_s = state->clock_s + state->relativity_s;
    m.range_m = r.weight_first * r.code_first_m +
                (1 - r.weight_first) * r.code_second_m +
                kSpeedOfLightMps * clock_s;
    m.satellite_m = state->position_m - clock_s * state->velocity_mps;
    m.noise_scale = 3;
    m.cn0_dbhz = r.cn0_dbhz;
    m.first_hz = r.first_hz;
    m.orbit_m = static_cast<float>(state->range_sigma_m);
    out.push_back(m);
  }
  return out;
}

}  // namespace

std::optional<Ecef> rough_position(const OrbitSource& orbits,
                                   const PppOptions& options,
                                   const PppSession& session,
                                   int* epochs_tried) {
  const std::size_t count = session.epochs.size();
  const std::size_t step = std::max<std::size_t>(1, count / kTries);
  std::optional<Ecef> before;
  for (std::size_t k = step / 2; k < count; k += step) {
    const PppEpoch& epoch = session.epochs[k];
    CodeSession groups;
    const auto measurements = measurements_of(orbits, session, epoch, groups);
    if (measurements.size() < kFewestSatellites) {
      continue;
    }
    *epochs_tried += 1;
    const auto found =
        first_position(measurements, epoch.time, options, groups);
    // Two that agree: a single epoch may be spoilt.
    if (found && before && norm(*found - *before) < kAgreeM) {
      return found;
    }
    if (found) {
      before = found;
    }
  }
  return before;
}

}  // namespace stillpoint::solve

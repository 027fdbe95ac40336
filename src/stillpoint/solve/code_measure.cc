#include "stillpoint/solve/code_measure.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/solve/code_adjust.h"

namespace stillpoint::solve {
namespace {

// A code bias between signals that no product states, one sigma. Differential
// code biases of GPS satellites spread over about +-2 ns (common practice, no
// source).
constexpr double kUnknownBiasM = 0.4;

// Orbit and clock error along the ray that a system's broadcast has in
// practice, one sigma, and the accuracy it usually states, which is a bound. A
// set that states worse is taken to be worse in proportion. From memory:
// Montenbruck, Steigenberger, Hauschild, "Multi-GNSS signal-in-space range
// error assessment", Adv. Space Res. 61 (2018) 3020.
struct BroadcastQuality {
  double usual_m, stated_m;
};
constexpr BroadcastQuality broadcast_quality(System system) {
  switch (system) {
    case System::kGalileo:
      return {0.25, 3.12};
    case System::kBeidou:
      return {0.9, 2.0};
    case System::kGlonass:
      return {1.8, 5.0};
    case System::kQzss:
      return {0.9, 2.8};
    default:
      return {0.55, 2.8};
  }
}
// What satellites of a system differ by where the antenna's offset from the
// centre of mass is not applied: 0.7 to 2.7 m for GPS, most of it common.
// Common practice, no source.
constexpr double kMissingOffsetM = 0.4;

double orbit_sigma_m(System system, const SatelliteState& state) {
  if (state.issue < 0) {
    return state.centre_of_mass
               ? std::hypot(state.range_sigma_m, kMissingOffsetM)
               : state.range_sigma_m;
  }
  const BroadcastQuality q = broadcast_quality(system);
  return q.usual_m * std::max(1.0, state.range_sigma_m / q.stated_m);
}

void exclude(MeasureLog& log, SatId sat, Exclusion reason) {
  auto& row = log.counts->excluded[sat];
  ++row[static_cast<std::size_t>(reason)];
}

Exclusion reason_of(NoState reason) {
  return reason == NoState::kUnhealthy ? Exclusion::kUnhealthy
                                       : Exclusion::kNoOrbit;
}

std::optional<int> channel_of(SatId sat,
                              const CodeOptions& options,
                              const OrbitSource& orbits) {
  if (sat.system != System::kGlonass) {
    return std::nullopt;
  }
  const auto& stated = options.glonass_channel[sat.number % 100u];
  return stated ? stated : orbits.glonass_channel(sat);
}

std::optional<std::uint8_t> group_of(CodeSession& session,
                                     System system,
                                     const CodePair& pair) {
  const char first = pair.first->signal.band;
  const char second =
      pair.second == nullptr ? char{0} : pair.second->signal.band;
  for (std::size_t g = 0; g < session.groups.size(); ++g) {
    const CodeGroup& group = session.groups[g];
    if (group.system == system && group.first_band == first &&
        group.second_band == second) {
      return static_cast<std::uint8_t>(g);
    }
  }
  if (session.groups.size() == kMaxGroups) {
    return std::nullopt;
  }
  session.groups.push_back({system, first, second});
  return static_cast<std::uint8_t>(session.groups.size() - 1);
}

double weaker(double a, double b) {
  if (!is_present(a)) {
    return b;
  }
  return is_present(b) ? std::min(a, b) : a;
}

// Adds c times the group delay of one code to the corrections.
void add_group_delay(const OrbitSource& orbits,
                     SatId sat,
                     GnssTime t,
                     const Observation& code,
                     double weight,
                     CodeMeasurement& m,
                     MeasureLog& log) {
  const auto delay = orbits.group_delay_s(sat, t, code.signal);
  if (delay) {
    m.range_m -= weight * kSpeedOfLightMps * *delay;
    return;
  }
  const double bias = weight * kUnknownBiasM;
  m.bias_m =
      static_cast<float>(std::hypot(static_cast<double>(m.bias_m), bias));
  ++log.unknown_biases;
}

bool usable_system(System system, const CodeOptions& options) {
  return options.systems.has(system) && system != System::kSbas &&
         system != System::kNavic;
}

}  // namespace

void measure(const Epoch& epoch,
             const OrbitSource& orbits,
             const CodeOptions& options,
             CodeSession& session,
             MeasureLog& log,
             std::vector<CodeMeasurement>& out) {
  out.clear();
  const bool single_only = options.without.has(Term::kIonosphere);
  for (const SatRows& rows : epoch.satellites) {
    const SatId sat = rows.sat;
    if (!usable_system(sat.system, options)) {
      exclude(log, sat, Exclusion::kSystemOff);
      continue;
    }
    const auto pair = choose_pair(sat.system,
                                  epoch.rows(rows),
                                  channel_of(sat, options, orbits),
                                  single_only);
    const auto group =
        pair ? group_of(session, sat.system, *pair) : std::nullopt;
    if (!group) {
      exclude(log, sat, Exclusion::kNoSignalPair);
      continue;
    }
    // Reading of the satellite's clock at sending: no receiver clock in it.
    const GnssTime sent =
        epoch.time - Duration{pair->first->code_m / kSpeedOfLightMps};
    const auto state = orbits.state(sat, sent);
    if (!state) {
      exclude(log, sat, reason_of(state.error()));
      continue;
    }
    CodeMeasurement m;
    m.sat = sat;
    m.group = *group;
    m.one_frequency = pair->second == nullptr;
    m.first_hz = pair->first_hz;
    m.first_band = pair->first->signal.band;
    m.weight_first = pair->weight_first;
    m.range_m = pair->weight_first * pair->first->code_m;
    m.cn0_dbhz = pair->first->cn0_dbhz;
    if (pair->second != nullptr) {
      m.second_band = pair->second->signal.band;
      m.weight_second = pair->weight_second;
      m.range_m += pair->weight_second * pair->second->code_m;
      m.cn0_dbhz = weaker(m.cn0_dbhz, pair->second->cn0_dbhz);
      m.noise_scale = std::hypot(pair->weight_first, pair->weight_second);
    }
    const double clock_s = state->clock_s + state->relativity_s;
    if (!options.without.has(Term::kSatelliteClock)) {
      m.range_m += kSpeedOfLightMps * state->clock_s;
    }
    if (!options.without.has(Term::kRelativity)) {
      m.range_m += kSpeedOfLightMps * state->relativity_s;
    }
    if (!options.without.has(Term::kGroupDelay)) {
      add_group_delay(
          orbits, sat, sent, *pair->first, pair->weight_first, m, log);
      if (pair->second != nullptr) {
        add_group_delay(
            orbits, sat, sent, *pair->second, pair->weight_second, m, log);
      }
    }
    // The state was taken at the satellite's own reading; its clock offset is
    // at most a millisecond, so one step along the velocity is exact.
    m.satellite_m = state->position_m - clock_s * state->velocity_mps;
    m.orbit_m = static_cast<float>(orbit_sigma_m(sat.system, *state));
    log.centre_of_mass += state->centre_of_mass ? 1 : 0;
    log.one_frequency += m.one_frequency ? 1 : 0;
    out.push_back(m);
  }
  log.empty_epochs += out.empty() && !epoch.satellites.empty() ? 1 : 0;
}

}  // namespace stillpoint::solve

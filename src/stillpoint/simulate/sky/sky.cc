#include "stillpoint/simulate/sky/sky.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/simulate/nature/relativity.h"
#include "stillpoint/simulate/sky/constellation.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

constexpr double kMarginS = 3 * 3600;

void wander(const Scenario& scenario, Satellite& s) {
  const RandomKey key = key_of(scenario.seed, Stream::kSatelliteClock, s.sat);
  const double factor = s.sat.system == System::kGlonass ? 3 : 1;
  const double step_s = factor * scenario.sky.clock_walk_m / kSpeedOfLightMps *
                        std::sqrt(SatelliteClock::kNodeS);
  s.clock.walk_from_s = -kMarginS;
  const auto count = static_cast<std::size_t>(
      (scenario.length_s + 2 * kMarginS) / SatelliteClock::kNodeS + 2);
  s.clock.walk_s.reserve(count);
  double sum_s = 0;
  for (std::size_t i = 0; i < count; ++i) {
    s.clock.walk_s.push_back(sum_s);
    sum_s += step_s * random_gaussian(key, i);
  }
}

// Codes on one carrier differ by less than carriers do.
constexpr double kWithinBand = 0.2;

void fill_signals(const Scenario& scenario, Satellite& s) {
  const RandomKey key = key_of(scenario.seed, Stream::kSatelliteBias, s.sat);
  const RandomKey bands = sub_key(key, 1);
  const bool biased = scenario.effects.has(Effect::kSatelliteBiases);
  // What GLONASS says of its second band has to fit 14 ns.
  const double size_m = s.sat.system == System::kGlonass
                            ? std::fmin(scenario.sky.code_bias_m, 1.0)
                            : scenario.sky.code_bias_m;
  const auto draw = [](const RandomKey& from, std::uint64_t index) {
    return std::clamp(random_gaussian(from, index), -1.7, 1.7);
  };
  std::uint64_t index = 0;
  for (const SignalCode signal : sent_signals(s.sat.system)) {
    SignalBias bias;
    bias.signal = signal;
    bias.frequency_hz =
        frequency_hz(s.sat.system, signal.band, s.channel).value_or(0);
    const double code_m =
        size_m * (draw(bands, static_cast<unsigned char>(signal.band)) +
                  kWithinBand * draw(key, index++));
    const double phase_cyc = random_uniform(key, index++) - 0.5;
    if (biased) {
      bias.code_m = code_m;
      bias.phase_cyc = phase_cyc;
    }
    s.signals.push_back(bias);
  }
}

// Offsets of the size that published ones have: decimetres across, one or two
// metres along the axis to the Earth.
void fill_antenna(const Scenario& scenario, Satellite& s) {
  if (!scenario.effects.has(Effect::kSatelliteAntenna)) {
    return;
  }
  const RandomKey key = key_of(scenario.seed, Stream::kSatelliteAntenna, s.sat);
  s.antenna.offset_x_m = 0.15 * (2 * random_uniform(key, 0) - 1);
  s.antenna.offset_y_m = 0.02 * (2 * random_uniform(key, 1) - 1);
  s.antenna.offset_z_m = 0.8 + 1.2 * random_uniform(key, 2);
  for (std::size_t i = 0; i < s.antenna.nadir_m.size(); ++i) {
    s.antenna.nadir_m[i] = 0.004 * (2 * random_uniform(key, 3 + i) - 1);
  }
}

}  // namespace

Sky::Sky(const Scenario& scenario)
    : scenario_(scenario), satellites_(make_constellation(scenario)) {
  if (!scenario.effects.has(Effect::kWaves)) {
    scenario_.ionosphere.waves = {};
  }
  for (Satellite& s : satellites_) {
    if (scenario.effects.has(Effect::kClockWalk)) {
      wander(scenario, s);
    }
    fill_signals(scenario, s);
    fill_antenna(scenario, s);
    s.product_errors = ProductErrors(scenario, s.sat);
  }
}

const Satellite* Sky::find(SatId sat) const {
  for (const Satellite& s : satellites_) {
    if (s.sat == sat) {
      return &s;
    }
  }
  return nullptr;
}

double Sky::clock_s(const Satellite& s,
                    double t_s,
                    const Motion& motion) const {
  const double clock_s = s.clock.at_s(t_s);
  return scenario_.effects.has(Effect::kRelativity)
             ? clock_s +
                   periodic_clock_s(motion.position_m, motion.velocity_mps)
             : clock_s;
}

ClockReference precise_reference(System system) {
  switch (system) {
    case System::kGps:
      return {{'1', 'W'}, {'2', 'W'}};
    case System::kGlonass:
      return {{'1', 'P'}, {'2', 'P'}};
    case System::kGalileo:
      return {{'1', 'C'}, {'5', 'Q'}};
    case System::kBeidou:
      return {{'2', 'I'}, {'6', 'I'}};
    case System::kQzss:
      return {{'1', 'C'}, {'2', 'L'}};
    case System::kSbas:
    case System::kNavic:
      break;
  }
  return {};
}

}  // namespace stillpoint::simulate

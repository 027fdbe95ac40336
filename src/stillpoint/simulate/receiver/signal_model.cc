#include "stillpoint/simulate/receiver/signal_model.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/noise.h"
#include "stillpoint/simulate/receiver/receiver.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kReadingDb = 0.3;    // noise of the C/N0 itself
constexpr double kDopplerFactor = 4;  // phase jitter to Doppler jitter [1/s]

enum NoisePart : std::uint64_t { kCode, kPhase, kDoppler, kStrength };

std::uint64_t index_of(double t_s) {
  return static_cast<std::uint64_t>(std::llround((t_s + 1e6) * 1e3));
}

// What a signal arrives with against L1 C/A, and how satellites differ.
double strength_against_first_db(System system, SignalCode signal) {
  if (signal.attribute == 'W') {
    return -10;  // tracked without the code's key
  }
  if (signal.band == '5' || signal.band == '7' || signal.band == '8') {
    return 1.5;
  }
  if (system == System::kGlonass) {
    return signal.band == '1' ? 0.5 : -2;
  }
  return signal.band == '2' && system != System::kBeidou ? -2 : 0;
}

double jam_db(const SignalContext& c, SignalCode signal) {
  if (!c.scenario->effects.has(Effect::kJamming)) {
    return 0;
  }
  double sum_db = 0;
  for (const Jammer& j : c.scenario->jammers) {
    if (c.t_s < j.from_s || c.t_s >= j.to_s ||
        (!j.bands.empty() && j.bands.find(signal.band) == std::string::npos)) {
      continue;
    }
    const double half_s = (j.to_s - j.from_s) / 2;
    const double off = (c.t_s - j.from_s - half_s) / (half_s / 2.5);
    sum_db += j.strength_db * (j.passing ? std::exp(-off * off / 2) : 1.0);
  }
  return sum_db;
}

Scintillation fade(const SignalContext& c, double frequency_hz) {
  if (!c.scenario->effects.has(Effect::kScintillation)) {
    return {};
  }
  for (const ScintillationSpell& spell : c.scenario->scintillation) {
    if (c.t_s < spell.from_s || c.t_s >= spell.to_s) {
      continue;
    }
    const ShellPoint point =
        shell_point(c.receiver->marker, c.satellite->direction);
    if (point.lat_rad > spell.north_limit_rad) {
      continue;
    }
    return scintillation(
        key_of(c.scenario->seed, Stream::kScintillation, c.satellite->sat),
        c.scenario->start + Duration{c.t_s},
        scale_scintillation(spell.strength, frequency_hz));
  }
  return {};
}

double table_slip(const SignalContext& c, SignalCode signal) {
  double cycles = 0;
  if (c.scenario->effects.has(Effect::kSlips)) {
    for (const SlipEvent& slip : c.receiver->slips) {
      if (slip.sat == c.satellite->sat && slip.at_s > c.before_s &&
          slip.at_s <= c.t_s &&
          (slip.band.empty() ||
           slip.band.find(signal.band) != std::string::npos)) {
        cycles += slip.cycles;
      }
    }
  }
  return cycles;
}

TrackingRules rules_of(const SignalContext& c) {
  const EffectSet& effects = c.scenario->effects;
  TrackingRules rules;
  rules.least_dbhz = c.receiver->least_dbhz;
  if (effects.has(Effect::kSlips)) {
    rules.slips_per_hour = c.receiver->slips_per_hour *
                           slip_factor(c.satellite->direction.elevation_rad);
    rules.unflagged_share = c.receiver->unflagged_slips;
  }
  rules.half_cycle_s =
      effects.has(Effect::kHalfCycles) ? c.receiver->half_cycle_s : 0;
  return rules;
}

void add_noise(const SignalContext& c,
               const SignalChannel& channel,
               double wavelength_m,
               SignalTerms& terms,
               double& doppler_hz) {
  if (!c.scenario->effects.has(Effect::kNoise)) {
    return;
  }
  const std::uint64_t index = index_of(c.t_s);
  const double phase_rad = phase_sigma_rad(channel.loops, terms.cn0_dbhz);
  terms.code_noise_m = code_sigma_m(channel.loops, terms.cn0_dbhz) *
                       random_gaussian(sub_key(channel.noise, kCode), index);
  terms.phase_noise_m = wavelength_m * phase_rad / kTurn *
                        random_gaussian(sub_key(channel.noise, kPhase), index);
  doppler_hz += kDopplerFactor * phase_rad / kTurn *
                random_gaussian(sub_key(channel.noise, kDoppler), index);
}

double strength_dbhz(const SignalContext& c,
                     const SignalChannel& channel,
                     double wavelength_m,
                     double power) {
  const AntennaGain gain;
  double dbhz =
      open_sky_cn0_dbhz(
          c.receiver->zenith_dbhz, gain, c.satellite->direction.elevation_rad) +
      channel.strength_db - jam_db(c, channel.signal) + 10 * std::log10(power);
  if (!c.reflections.empty()) {
    dbhz += strength_change_db(c.reflections, wavelength_m, channel.loops);
  }
  if (c.scenario->effects.has(Effect::kNoise)) {
    dbhz += kReadingDb *
            random_gaussian(sub_key(channel.noise, kStrength), index_of(c.t_s));
  }
  return dbhz;
}

// The first receiver of the same type.
std::uint64_t first_of_make(const Scenario& scenario, std::size_t receiver) {
  std::uint64_t number = 0;
  while (scenario.receivers[number].receiver_type !=
         scenario.receivers[receiver].receiver_type) {
    ++number;
  }
  return number;
}

}  // namespace

SignalChannel make_channel(const Sky& sky,
                           const Satellite& satellite,
                           SignalCode signal,
                           std::size_t receiver) {
  const Scenario& scenario = sky.scenario();
  const auto number = static_cast<std::uint64_t>(receiver);
  const auto code =
      static_cast<std::uint64_t>(static_cast<unsigned char>(signal.band) * 256 +
                                 static_cast<unsigned char>(signal.attribute));
  const auto own = [&](Stream stream) {
    return sub_key(
        sub_key(key_of(scenario.seed, stream, satellite.sat), number), code);
  };
  SignalChannel c;
  c.track = SignalTrack(own(Stream::kAmbiguity));
  c.signal = signal;
  c.bias = satellite.find(signal);
  c.frequency_hz = c.bias == nullptr ? 0 : c.bias->frequency_hz;
  c.loops = loops_of(satellite.sat.system, signal);
  c.noise = own(Stream::kNoise);
  c.strength_db =
      strength_against_first_db(satellite.sat.system, signal) +
      1.5 *
          (2 * random_uniform(
                   key_of(scenario.seed, Stream::kStrengthNoise, satellite.sat),
                   0) -
           1);
  if (scenario.effects.has(Effect::kReceiverAntenna)) {
    const ReceiverAntenna antenna =
        antenna_named(scenario.receivers[receiver].antenna);
    c.band = band_of(antenna, c.frequency_hz);
  }
  if (scenario.effects.has(Effect::kReceiverBiases)) {
    // Of the receiver's path for the signal; GLONASS also by channel, in which
    // receivers of one make are nearly alike.
    const auto path_of = [&](std::uint64_t of) {
      return sub_key(
          sub_key(sub_key(key_of(scenario.seed, Stream::kReceiverBias), of),
                  static_cast<std::uint64_t>(satellite.sat.system)),
          code);
    };
    const RandomKey key = path_of(number);
    const std::uint64_t first = first_of_make(scenario, receiver);
    const RandomKey make = path_of(first);
    const double channel = satellite.channel.value_or(0);
    c.receiver_code_m =
        3 * random_gaussian(key, 0) + 0.15 * channel * random_gaussian(make, 1);
    c.receiver_phase_cyc =
        random_uniform(key, 2) + 0.03 * channel * random_gaussian(make, 3);
    if (first != number) {
      c.receiver_code_m += 0.015 * channel * random_gaussian(key, 4);
      c.receiver_phase_cyc += 0.001 * channel * random_gaussian(key, 5);
    }
  }
  return c;
}

bool measure_signal(const SignalContext& c,
                    SignalChannel& channel,
                    Observation& o,
                    SignalTerms& terms) {
  const SatelliteTerms& s = *c.satellite;
  const double wavelength_m = kSpeedOfLightMps / channel.frequency_hz;
  terms.sat = s.sat;
  terms.signal = channel.signal;
  const Scintillation scintillation = fade(c, channel.frequency_hz);
  terms.cn0_dbhz = strength_dbhz(c, channel, wavelength_m, scintillation.power);
  const SignalTrack::State state = channel.track.next(
      c.t_s, terms.cn0_dbhz, rules_of(c), table_slip(c, channel.signal));
  if (!state.tracked) {
    return false;
  }
  terms.slipped = state.slipped;
  terms.ambiguity_cyc = state.ambiguity_cyc;
  terms.ionosphere_m = ionosphere_delay_m(s.slant_tecu, channel.frequency_hz);
  terms.antenna_m = antenna_range_m(channel.band, s.direction);
  terms.satellite_code_m = channel.bias->code_m;
  terms.satellite_phase_cyc = channel.bias->phase_cyc;
  terms.receiver_code_m = channel.receiver_code_m;
  terms.receiver_phase_cyc = channel.receiver_phase_cyc;
  if (!c.reflections.empty()) {
    terms.code_multipath_m =
        code_error_m(c.reflections, wavelength_m, channel.loops);
    terms.phase_multipath_m =
        phase_error_m(c.reflections, wavelength_m, channel.loops);
  }
  terms.scintillation_m = scintillation.phase_rad / kTurn * wavelength_m;
  double doppler_hz =
      -(s.range_rate_mps + kSpeedOfLightMps * c.clock.rate) / wavelength_m;
  add_noise(c, channel, wavelength_m, terms, doppler_hz);

  const double common_m = s.range_m + kSpeedOfLightMps * c.clock.offset_s -
                          s.satellite_clock_m + s.shapiro_m + s.hydrostatic_m +
                          s.wet_m + s.gradient_m + s.satellite_antenna_m +
                          terms.antenna_m;
  o = Observation{};
  o.signal = channel.signal;
  o.code_m = common_m + terms.ionosphere_m + terms.satellite_code_m +
             terms.receiver_code_m + terms.code_multipath_m +
             terms.code_noise_m;
  o.phase_cyc = (common_m - terms.ionosphere_m + terms.phase_multipath_m +
                 terms.phase_noise_m + terms.scintillation_m) /
                    wavelength_m +
                s.wind_up_cyc + terms.satellite_phase_cyc +
                terms.receiver_phase_cyc + terms.ambiguity_cyc;
  o.doppler_hz = doppler_hz;
  o.cn0_dbhz = terms.cn0_dbhz;
  o.lli = static_cast<std::uint8_t>((state.flagged ? 1 : 0) |
                                    (state.half_open ? 2 : 0));
  return true;
}

}  // namespace stillpoint::simulate

#include "stillpoint/simulate/sky/precise_products.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

#include "stillpoint/simulate/nature/antenna.h"

namespace stillpoint::simulate {
namespace {

constexpr double kToS = 1 / kSpeedOfLightMps;
constexpr double kDegree = 0.017453292519943295;

double clock_against_reference_s(const Satellite& s, double t_s) {
  const double true_s =
      s.clock.at_s(t_s) -
      kToS * reference_delay_m(s, precise_reference(s.sat.system));
  return true_s + kToS * s.product_errors.clock_m(t_s);
}

Ecef published_position_m(const Satellite& s, double t_s) {
  if (!s.product_errors.has_orbit()) {
    return s.position(t_s);
  }
  const Motion motion = s.motion(t_s);
  return motion.position_m +
         in_earth_axes_m(s.product_errors.orbit_m(t_s), motion);
}

// Calls each(time) for every step of [from, to].
template <class Each>
void for_steps(GnssTime from, GnssTime to, double interval_s, Each&& each) {
  for (GnssTime t = from; t <= to; t = t + Duration{interval_s}) {
    each(t);
  }
}

std::string observable(char kind, SignalCode signal) {
  return fmt::format("{}{}{}", kind, signal.band, signal.attribute);
}

BiasRow row_of(const Satellite& s, GnssTime from, GnssTime to) {
  BiasRow row;
  row.system = s.sat.system;
  row.satellite = s.sat;
  row.svn =
      fmt::format("{}{:03}", system_letter(s.sat.system), 500 + s.sat.number);
  row.from = from;
  row.until = to;
  row.sigma = 0.001;
  return row;
}

// Code and phase of all its signals, with what clocks and biases share on top.
void add_rows(const Satellite& s,
              GnssTime from,
              GnssTime to,
              double with_clock_m,
              std::vector<BiasRow>& rows) {
  const double reference_m =
      reference_delay_m(s, precise_reference(s.sat.system)) - with_clock_m;
  for (const SignalBias& bias : s.signals) {
    BiasRow row = row_of(s, from, to);
    row.first = observable('C', bias.signal);
    row.value = 1e9 * kToS * (bias.code_m - reference_m);
    rows.push_back(row);
    row.first = observable('L', bias.signal);
    row.value = 1e9 * (bias.phase_cyc / bias.frequency_hz - kToS * reference_m);
    rows.push_back(row);
  }
}

// A span cut at the days of GPST.
std::vector<std::pair<GnssTime, GnssTime>> days_of(GnssTime from, GnssTime to) {
  constexpr std::int64_t kDayNs = 86'400 * GnssTime::kNsPerS;
  std::vector<std::pair<GnssTime, GnssTime>> days;
  for (GnssTime begin = from; begin < to || days.empty();) {
    const GnssTime midnight =
        GnssTime::from_ns((begin.ns() / kDayNs + 1) * kDayNs);
    days.emplace_back(begin, std::min(midnight, to));
    begin = midnight;
  }
  return days;
}

std::set<char> bands_of(System system, const std::vector<Satellite>& all) {
  std::set<char> bands;
  for (const Satellite& s : all) {
    if (s.sat.system == system) {
      for (const SignalBias& bias : s.signals) {
        bands.insert(bias.signal.band);
      }
    }
  }
  return bands;
}

AntennaPattern satellite_pattern(const Satellite& s, GnssTime from) {
  AntennaPattern p;
  p.type = fmt::format("SPDEMO-SV {}", system_name(s.sat.system));
  p.serial = s.sat.text();
  p.satellite = s.sat;
  p.svn =
      fmt::format("{}{:03}", system_letter(s.sat.system), 500 + s.sat.number);
  p.method = "SIMULATED";
  p.agency = kWorldAgency;
  p.valid_from = from;
  p.zenith_last_rad = 17 * kDegree;
  p.zenith_step_rad = kDegree;
  std::set<char> done;
  for (const SignalBias& bias : s.signals) {
    if (!done.insert(bias.signal.band).second) {
      continue;
    }
    AntennaFrequency f;
    f.system = s.sat.system;
    f.number = bias.signal.band - '0';
    f.offset_m = {
        s.antenna.offset_x_m, s.antenna.offset_y_m, s.antenna.offset_z_m};
    for (const double v : sample_nadir(s.antenna)) {
      f.by_zenith_m.push_back(static_cast<float>(v));
    }
    p.frequencies.push_back(std::move(f));
  }
  return p;
}

AntennaFrequency receiver_frequency(System system,
                                    char band,
                                    const AntennaBand& from) {
  AntennaFrequency f;
  f.system = system;
  f.number = band - '0';
  f.offset_m = {from.offset_m.n_m, from.offset_m.e_m, from.offset_m.u_m};
  const AntennaGrid grid = sample_grid(from);
  for (const double v : grid.mean_m) {
    f.by_zenith_m.push_back(static_cast<float>(v));
  }
  for (const auto& row : grid.by_azimuth_m) {
    for (const double v : row) {
      f.by_azimuth_m.push_back(static_cast<float>(v));
    }
  }
  return f;
}

AntennaPattern receiver_pattern(const std::string& type, const Sky& sky) {
  AntennaPattern p;
  p.type = type;
  p.method = "SIMULATED";
  p.agency = kWorldAgency;
  p.calibrated = 1;
  p.zenith_last_rad = 90 * kDegree;
  p.zenith_step_rad = AntennaGrid::kStepDeg * kDegree;
  p.azimuth_step_rad = AntennaGrid::kStepDeg * kDegree;
  const bool has = sky.scenario().effects.has(Effect::kReceiverAntenna);
  const ReceiverAntenna antenna = has ? antenna_named(type) : ReceiverAntenna{};
  for (const System system : kSystems) {
    for (const char band : bands_of(system, sky.satellites())) {
      const double hz = frequency_hz(system, band, 0).value_or(0);
      p.frequencies.push_back(
          receiver_frequency(system, band, band_of(antenna, hz)));
    }
  }
  return p;
}

}  // namespace

PreciseProduct make_orbits(const Sky& sky,
                           GnssTime from,
                           GnssTime to,
                           double interval_s) {
  PreciseProduct product;
  product.frame_label = kWorldFrame;
  product.agency = kWorldAgency;
  product.interval_s = interval_s;
  for_steps(from, to, interval_s, [&](GnssTime t) {
    PreciseEpoch epoch;
    epoch.time = t;
    const double t_s = sky.seconds(t);
    for (const Satellite& s : sky.satellites()) {
      PreciseSample sample;
      sample.sat = s.sat;
      sample.position_m = published_position_m(s, t_s);
      sample.clock_s = clock_against_reference_s(s, t_s);
      epoch.samples.push_back(sample);
    }
    product.epochs.push_back(std::move(epoch));
  });
  return product;
}

ClockProduct make_clocks(const Sky& sky,
                         GnssTime from,
                         GnssTime to,
                         double interval_s) {
  ClockProduct product;
  product.analysis_centre = kWorldAgency;
  product.analysis_name = "simulated world";
  product.frame_label = kWorldFrame;
  product.comments = {kSimulatedNote};
  for_steps(
      from, to, interval_s, [&](GnssTime t) { product.epochs.push_back(t); });
  for (const Satellite& s : sky.satellites()) {
    ClockSeries series;
    series.name = s.sat.text();
    series.satellite = s.sat;
    for (std::size_t i = 0; i < product.epochs.size(); ++i) {
      ClockSample sample;
      sample.clock_s =
          clock_against_reference_s(s, sky.seconds(product.epochs[i]));
      sample.epoch = static_cast<std::uint32_t>(i);
      series.samples.push_back(sample);
    }
    product.series.push_back(std::move(series));
  }
  return product;
}

BiasProduct make_biases(const Sky& sky, GnssTime from, GnssTime to) {
  BiasProduct product;
  product.agency = product.data_agency = kWorldAgency;
  product.from = from;
  product.until = to;
  product.description = {{"BIAS_MODE", "ABSOLUTE"},
                         {"TIME_SYSTEM", "G"},
                         {"OBSERVATION_SAMPLING", "30"},
                         {"DETERMINATION_METHOD", "SIMULATED"}};
  for (const System system : kSystems) {
    const ClockReference reference = precise_reference(system);
    if (!reference.first.empty()) {
      product.description.emplace_back(
          "SATELLITE_CLOCK_REFERENCE_OBSERVABLES",
          fmt::format("{}  {}  {}",
                      system_letter(system),
                      observable('C', reference.first),
                      observable('C', reference.second)));
    }
  }
  const bool absorb = sky.scenario().effects.has(Effect::kIntegerBiases);
  for (const auto& [begin, end] : days_of(from, to)) {
    for (const Satellite& s : sky.satellites()) {
      const double with_clock_m =
          absorb ? s.product_errors.clock_of_day_m(sky.seconds(begin)) : 0;
      add_rows(s, begin, end, with_clock_m, product.rows);
    }
  }
  product.declared_rows = product.rows.size();
  return product;
}

AntennaProduct make_antennas(const Sky& sky) {
  AntennaProduct product;
  product.comments = {kSimulatedNote};
  const GnssTime from = sky.scenario().start - Duration{86'400.0};
  for (const Satellite& s : sky.satellites()) {
    product.antennas.push_back(satellite_pattern(s, from));
  }
  std::set<std::string> types;
  for (const ReceiverScenario& r : sky.scenario().receivers) {
    if (types.insert(r.antenna).second) {
      product.antennas.push_back(receiver_pattern(r.antenna, sky));
    }
  }
  return product;
}

}  // namespace stillpoint::simulate

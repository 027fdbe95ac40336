#include "stillpoint/simulate/sky/broadcast_sets.h"

#include <cmath>
#include <numbers>
#include <optional>

#include "stillpoint/simulate/nature/gauss_markov.h"
#include "stillpoint/simulate/nature/relativity.h"
#include "stillpoint/simulate/nature/vectors.h"
#include "stillpoint/simulate/sky/rounded_sets.h"
#include "stillpoint/simulate/sky/still_orbit.h"
#include "stillpoint/simulate/streams.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kErrorsLastS = 6 * 3600;

// The grid's shift against whole steps of GPST.
double grid_offset_s(const Satellite& s, GnssTime t) {
  switch (s.sat.system) {
    case System::kBeidou:
      return -kBdtMinusGpstS;
    case System::kGlonass:
      return gps_minus_utc_s(t) + 900.0;
    default:
      return 0;
  }
}

struct SetError {
  double along_m = 0, across_m = 0, radial_m = 0, clock_m = 0;
};

SetError error_of(const Sky& sky, const Satellite& s, GnssTime toe) {
  const Scenario& scenario = sky.scenario();
  const auto draw = [&](Stream stream, std::uint64_t part) {
    const RandomKey key = sub_key(key_of(scenario.seed, stream, s.sat), part);
    return gauss_markov(key, toe, kErrorsLastS);
  };
  SetError e;
  if (scenario.effects.has(Effect::kBroadcastOrbit)) {
    e.along_m =
        scenario.sky.broadcast_along_m * draw(Stream::kBroadcastOrbit, 0);
    e.across_m =
        scenario.sky.broadcast_across_m * draw(Stream::kBroadcastOrbit, 1);
    e.radial_m =
        scenario.sky.broadcast_radial_m * draw(Stream::kBroadcastOrbit, 2);
  }
  if (scenario.effects.has(Effect::kBroadcastClock)) {
    e.clock_m =
        scenario.sky.broadcast_clock_m * draw(Stream::kBroadcastClock, 0);
  }
  // The mean phase centre is what a set describes; it lies towards the Earth.
  e.radial_m -= s.antenna.offset_z_m;
  return e;
}

// Clock against a reference, and its drift.
void put_clock(const Sky& sky,
               const Satellite& s,
               const SetError& error,
               double t_s,
               const ClockReference& reference,
               double& offset_s,
               double& drift) {
  offset_s =
      s.clock.at_s(t_s) +
      (error.clock_m - reference_delay_m(s, reference)) / kSpeedOfLightMps;
  drift = s.clock.drift_s_per_s;
  if (s.kind != OrbitKind::kIntegrated ||
      !sky.scenario().effects.has(Effect::kRelativity)) {
    return;
  }
  // GLONASS has no term of its own for it.
  const auto periodic_s = [&](double at_s) {
    const Motion m = s.motion(at_s);
    return periodic_clock_s(m.position_m, m.velocity_mps);
  };
  constexpr double kAboutS = 450;
  offset_s += periodic_s(t_s);
  drift +=
      (periodic_s(t_s + kAboutS) - periodic_s(t_s - kAboutS)) / (2 * kAboutS);
}

double delay_s(const Satellite& s,
               SignalCode signal,
               const ClockReference& reference) {
  const SignalBias* bias = s.find(signal);
  return bias == nullptr ? 0
                         : (bias->code_m - reference_delay_m(s, reference)) /
                               kSpeedOfLightMps;
}

struct Kind {
  NavMessage message;
  ClockReference reference;
  std::uint32_t data_sources = 0;
};

constexpr SignalCode kE1{'1', 'C'}, kE5a{'5', 'Q'}, kE5b{'7', 'Q'};
constexpr ClockReference kFnavReference{kE1, kE5a}, kInavReference{kE1, kE5b};

void put_delays(const Satellite& s, const Kind& kind, KeplerEphemeris& e) {
  switch (s.sat.system) {
    case System::kGps:
      e.group_delay_s = {delay_s(s, {'1', 'W'}, kind.reference), 0};
      break;
    case System::kGalileo:
      e.group_delay_s = {delay_s(s, kE1, kFnavReference),
                         kind.message == NavMessage::kInav
                             ? delay_s(s, kE1, kInavReference)
                             : kMissing};
      break;
    case System::kBeidou:
      e.group_delay_s = {delay_s(s, {'2', 'I'}, kind.reference),
                         delay_s(s, {'7', 'I'}, kind.reference)};
      break;
    default:
      e.group_delay_s = {delay_s(s, {'1', 'C'}, kind.reference), 0};
      break;
  }
}

double second_of_week(const Satellite& s, GnssTime toe) {
  return s.sat.system == System::kBeidou
             ? (toe + Duration{kBdtMinusGpstS}).tow_s()
             : toe.tow_s();
}

void put_orbit(const Sky& sky,
               const Satellite& s,
               GnssTime toe,
               const SetError& error,
               KeplerEphemeris& e) {
  const double t_s = sky.seconds(toe);
  const Elements o = s.kind == OrbitKind::kGeostationary
                         ? tilted_elements(s.elements, t_s)
                         : elements_at(s.elements, t_s);
  const double a_m = o.a_m + error.radial_m;
  e.sqrt_a_sqrt_m = std::sqrt(a_m);
  e.eccentricity = o.eccentricity;
  e.delta_n_rad_per_s =
      o.mean_motion_rad_per_s - std::sqrt(s.gm / (a_m * a_m * a_m));
  e.m0_rad = std::remainder(o.m0_rad + error.along_m / o.a_m, kTurn);
  e.omega_rad = std::remainder(o.omega_rad, kTurn);
  e.i0_rad = o.i0_rad + error.across_m / o.a_m;
  e.idot_rad_per_s = o.idot_rad_per_s;
  e.omega0_rad = std::remainder(
      o.node_rad + o.earth_rate_rad_per_s * second_of_week(s, toe), kTurn);
  e.omega_dot_rad_per_s = o.node_rate_rad_per_s;
  e.cuc_rad = o.cuc_rad;
  e.cus_rad = o.cus_rad;
  e.crc_m = o.crc_m;
  e.crs_m = o.crs_m;
  e.cic_rad = o.cic_rad;
  e.cis_rad = o.cis_rad;
}

void add_kepler(const Sky& sky,
                const Satellite& s,
                GnssTime toe,
                const Kind& kind,
                NavigationData& out) {
  const SetError error = error_of(sky, s, toe);
  KeplerEphemeris e;
  e.sat = s.sat;
  e.message = kind.message;
  e.toe = e.toc = toe;
  e.transmitted = toe - Duration{set_step_s(s.sat.system) / 2};
  put_clock(
      sky, s, error, sky.seconds(toe), kind.reference, e.af0_s, e.af1_s_per_s);
  put_orbit(sky, s, toe, error, e);
  put_delays(s, kind, e);
  const auto issue =
      static_cast<int>(std::llround(toe.tow_s() / set_step_s(s.sat.system)));
  e.iode = s.sat.system == System::kBeidou ? 1 : issue % 240;
  e.iodc = e.iode;
  e.accuracy_m = s.sat.system == System::kGalileo ? 3.12 : 2.0;
  e.data_sources = kind.data_sources;
  if (sky.scenario().effects.has(Effect::kBroadcastOrbit)) {
    e = rounded(e);
  }
  out.kepler.push_back(e);
}

void add_state(const Sky& sky,
               const Satellite& s,
               GnssTime toe,
               NavigationData& out) {
  const SetError error = error_of(sky, s, toe);
  const double t_s = sky.seconds(toe);
  const Motion motion = s.motion(t_s);
  const Ecef up = 1 / norm(motion.position_m) * motion.position_m;
  const Ecef along = 1 / norm(motion.velocity_mps) * motion.velocity_mps;
  const Ecef across = cross(up, along);
  StateEphemeris e;
  e.sat = s.sat;
  e.toe = toe;
  e.transmitted = toe - Duration{set_step_s(s.sat.system) / 2};
  e.position_m = motion.position_m + error.radial_m * up +
                 error.along_m * along + error.across_m * across;
  e.velocity_mps = motion.velocity_mps;
  put_clock(sky, s, error, t_s, {{'1', 'C'}, {}}, e.clock_s, e.clock_rate);
  e.channel = s.channel.value_or(0);
  e.l2_minus_l1_s = delay_s(s, {'2', 'C'}, {{'1', 'C'}, {}});
  e.accuracy_m = 2.5;
  e.issue = static_cast<int>(std::lround(
      std::fmod(
          (toe - Duration{static_cast<double>(gps_minus_utc_s(toe))}).tow_s() +
              3 * 3600.0,
          86'400.0) /
      900));
  if (sky.scenario().effects.has(Effect::kBroadcastOrbit)) {
    e = rounded(e);
  }
  out.state.push_back(e);
}

IonosphereParameters usual_ionosphere() {
  IonosphereParameters p;
  // Of the size of a quiet year's.
  p.gps = Klobuchar{{9.3e-9, 1.5e-8, -6.0e-8, -6.0e-8},
                    {8.8e4, 3.3e4, -2.0e5, -6.6e4}};
  p.beidou = p.gps;
  p.galileo = std::array<double, 3>{55.0, 0.2, 0.002};
  return p;
}

}  // namespace

double set_step_s(System system) {
  switch (system) {
    case System::kGps:
      return 7200;
    case System::kGlonass:
      return 1800;
    default:
      return 3600;
  }
}

GnssTime current_toe(const Satellite& s, GnssTime t) {
  const auto step_ns =
      static_cast<std::int64_t>(set_step_s(s.sat.system)) * GnssTime::kNsPerS;
  const GnssTime shifted = t - Duration{grid_offset_s(s, t)};
  const std::int64_t count = (shifted.ns() + step_ns / 2) / step_ns;
  return GnssTime::from_ns(count * step_ns) + Duration{grid_offset_s(s, t)};
}

void make_sets(const Sky& sky,
               const Satellite& s,
               GnssTime toe,
               NavigationData& out) {
  switch (s.sat.system) {
    case System::kGps:
      add_kepler(
          sky, s, toe, {NavMessage::kLnav, {{'1', 'W'}, {'2', 'W'}}}, out);
      break;
    case System::kQzss:
      add_kepler(
          sky, s, toe, {NavMessage::kLnav, {{'1', 'C'}, {'2', 'L'}}}, out);
      break;
    case System::kGalileo:
      add_kepler(sky, s, toe, {NavMessage::kInav, kInavReference, 517}, out);
      add_kepler(sky, s, toe, {NavMessage::kFnav, kFnavReference, 258}, out);
      break;
    case System::kBeidou:
      add_kepler(sky,
                 s,
                 toe,
                 {s.kind == OrbitKind::kGeostationary ? NavMessage::kD2
                                                      : NavMessage::kD1,
                  {{'6', 'I'}, {}}},
                 out);
      break;
    case System::kGlonass:
      add_state(sky, s, toe, out);
      break;
    case System::kSbas:
    case System::kNavic:
      break;
  }
}

NavigationData make_navigation(const Sky& sky, GnssTime from, GnssTime to) {
  NavigationData out;
  for (const Satellite& s : sky.satellites()) {
    const GnssTime last = current_toe(s, to);
    for (GnssTime toe = current_toe(s, from); toe <= last;
         toe = toe + Duration{set_step_s(s.sat.system)}) {
      make_sets(sky, s, toe, out);
    }
  }
  out.ionosphere = usual_ionosphere();
  out.leap_seconds = gps_minus_utc_s(from);
  return out;
}

}  // namespace stillpoint::simulate

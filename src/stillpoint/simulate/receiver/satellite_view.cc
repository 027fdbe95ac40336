#include "stillpoint/simulate/receiver/satellite_view.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/attitude.h"
#include "stillpoint/simulate/nature/light_path.h"
#include "stillpoint/simulate/nature/relativity.h"
#include "stillpoint/simulate/nature/vectors.h"
#include "stillpoint/simulate/nature/wind_up.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

// Velocity in axes that do not turn.
Ecef in_space(const Motion& m) {
  return m.velocity_mps + cross({0, 0, kEarthRateRadps}, m.position_m);
}

// Change of the distance [m/s].
//
//   source  the light-time equation differentiated
double range_rate_mps(const Motion& satellite, const Motion& receiver) {
  const Ecef line = unit(satellite.position_m - receiver.position_m);
  const Ecef sent = in_space(satellite), received = in_space(receiver);
  return dot(line, sent - received) / (1 + dot(line, sent) / kSpeedOfLightMps);
}

// Geostationary BeiDou satellites fly with x along the motion and y across the
// orbit, the others turn after the Sun.
//
//   source  Montenbruck et al., Adv. Space Res. 56 (2015), p. 1015 (from
//   memory)
BodyAxes body_axes(const Satellite& s, const Motion& sent, const Ecef& sun_m) {
  return s.kind == OrbitKind::kGeostationary
             ? axes_at_yaw(sent.position_m, sent.velocity_mps, 0)
             : yaw_steering_axes(sent.position_m, sent.velocity_mps, sun_m);
}

void add_antenna(const Satellite& s,
                 const ViewPoint& from,
                 const Motion& sent,
                 double previous_cyc,
                 bool turns,
                 SatelliteTerms& terms) {
  const BodyAxes axes = body_axes(s, sent, from.state.bodies.sun_m);
  const Ecef& arp = from.state.arp.position_m;
  const Ecef centre = sent.position_m + antenna_offset_m(s.antenna, axes);
  terms.satellite_antenna_m =
      norm(centre - arp) - terms.range_m +
      nadir_variation_m(s.antenna, nadir_angle_rad(sent.position_m, arp));
  if (turns) {
    terms.wind_up_cyc = wind_up_cyc(
        axes, sent.position_m, arp, from.site->enu_R_ecef(), previous_cyc);
  }
}

}  // namespace

AzEl rough_direction(const ViewPoint& from, const Satellite& satellite) {
  return azimuth_elevation(
      from.site->enu_R_ecef(),
      satellite.position(from.t_s) - from.state.arp.position_m);
}

SatelliteTerms view(const Sky& sky,
                    const ViewPoint& from,
                    const Satellite& satellite,
                    double wind_up_cyc) {
  const EffectSet& effects = sky.scenario().effects;
  const Ecef& arp = from.state.arp.position_m;
  SatelliteTerms terms;
  terms.sat = satellite.sat;
  const Path path = light_path(
      [&](double after_s) { return satellite.position(from.t_s + after_s); },
      arp);
  terms.range_m = path.range_m;
  const double sent_s = from.t_s - path.flight_s;
  const Motion at_sending = satellite.motion(sent_s);
  const Motion sent{path.satellite_m,
                    turn_axes(at_sending.velocity_mps, path.flight_s)};
  terms.direction =
      azimuth_elevation(from.site->enu_R_ecef(), path.satellite_m - arp);
  terms.range_rate_mps =
      range_rate_mps(sent, {arp, from.state.arp.velocity_mps});
  terms.satellite_clock_m =
      kSpeedOfLightMps * sky.clock_s(satellite, sent_s, at_sending);
  if (effects.has(Effect::kRelativity)) {
    terms.relativity_m =
        kSpeedOfLightMps *
        periodic_clock_s(at_sending.position_m, at_sending.velocity_mps);
  }
  if (effects.has(Effect::kShapiro)) {
    terms.shapiro_m = shapiro_m(path.satellite_m, arp);
  }
  const GnssTime t = sky.time(from.t_s);
  const SlantDelay slant =
      troposphere_delay(from.air, from.site->place(), t, terms.direction);
  terms.hydrostatic_m = slant.hydrostatic_m;
  terms.wet_m = slant.wet_m;
  terms.gradient_m = slant.gradient_m;
  if (effects.has(Effect::kIonosphere)) {
    terms.slant_tecu = slant_tecu(
        sky.scenario().ionosphere, from.site->place(), terms.direction, t);
  }
  add_antenna(
      satellite, from, sent, wind_up_cyc, effects.has(Effect::kWindUp), terms);
  return terms;
}

void add_product_terms(const ViewPoint& from,
                       const Satellite& satellite,
                       SatelliteTerms& terms) {
  const ProductErrors& errors = satellite.product_errors;
  const double flight_s = terms.range_m / kSpeedOfLightMps;
  const double sent_s = from.t_s - flight_s;
  terms.product_clock_m = errors.clock_m(sent_s);
  if (errors.has_orbit()) {
    const Motion motion = satellite.motion(sent_s);
    const Motion sent{turn_axes(motion.position_m, flight_s),
                      turn_axes(motion.velocity_mps, flight_s)};
    const Ecef said_m =
        sent.position_m + in_earth_axes_m(errors.orbit_m(sent_s), sent);
    const Ecef& arp = from.state.arp.position_m;
    terms.product_orbit_m = norm(said_m - arp) - norm(sent.position_m - arp);
  }
}

double skyline_rad(const std::vector<SkylinePoint>& points,
                   double azimuth_rad) {
  if (points.empty()) {
    return -kTurn / 4;
  }
  // The stretch that holds the azimuth, the last one going round by north.
  for (std::size_t i = 0; i < points.size(); ++i) {
    const SkylinePoint& a = points[i];
    const SkylinePoint& b = points[(i + 1) % points.size()];
    double width = b.azimuth_rad - a.azimuth_rad;
    double into = azimuth_rad - a.azimuth_rad;
    if (i + 1 == points.size()) {
      width += kTurn;
      into += into < 0 ? kTurn : 0;
    }
    if (into >= 0 && into <= width) {
      const double share = width > 0 ? into / width : 0;
      return a.elevation_rad + share * (b.elevation_rad - a.elevation_rad);
    }
  }
  return points.front().elevation_rad;
}

}  // namespace stillpoint::simulate

#include "stillpoint/simulate/receiver/site.h"

#include <algorithm>

#include "stillpoint/simulate/nature/solid_tide.h"

namespace stillpoint::simulate {
namespace {

Enu between(const Enu& a, const Enu& b, double share) {
  return {a.e_m + share * (b.e_m - a.e_m),
          a.n_m + share * (b.n_m - a.n_m),
          a.u_m + share * (b.u_m - a.u_m)};
}

Enu by_moves(const std::vector<AntennaMove>& moves, double t_s) {
  Enu now;
  for (const AntennaMove& move : moves) {
    if (t_s < move.at_s) {
      break;
    }
    const double share =
        move.over_s > 0 ? std::min((t_s - move.at_s) / move.over_s, 1.0) : 1.0;
    now = between(now, move.offset_m, share);
  }
  return now;
}

Enu by_way(const std::vector<Waypoint>& way, double t_s) {
  if (way.empty()) {
    return {};
  }
  const auto after = std::ranges::find_if(
      way, [&](const Waypoint& w) { return w.at_s > t_s; });
  if (after == way.begin()) {
    return way.front().from_start_m;
  }
  if (after == way.end()) {
    return way.back().from_start_m;
  }
  const Waypoint& a = *(after - 1);
  return between(a.from_start_m,
                 after->from_start_m,
                 (t_s - a.at_s) / (after->at_s - a.at_s));
}

}  // namespace

Enu moved_m(const ReceiverScenario& receiver, bool moves, double t_s) {
  const Enu way = by_way(receiver.waypoints, t_s);
  if (!moves) {
    return way;
  }
  const Enu knocked = by_moves(receiver.moves, t_s);
  return {way.e_m + knocked.e_m, way.n_m + knocked.n_m, way.u_m + knocked.u_m};
}

Site::Site(const Scenario& scenario, const ReceiverScenario& receiver)
    : scenario_(scenario),
      receiver_(receiver),
      marker_(to_ecef(receiver.marker)),
      axes_(stillpoint::enu_R_ecef(receiver.marker)) {}

SiteState Site::at(double t_s) const {
  const EffectSet& effects = scenario_.effects;
  const GnssTime t = scenario_.start + Duration{t_s};
  SiteState s;
  s.bodies = sun_moon(t);
  s.moved_m = moved_m(receiver_, effects.has(Effect::kMotion), t_s);
  if (effects.has(Effect::kSolidTide)) {
    s.tide_m = solid_tide_m(marker_, s.bodies, t);
  }
  if (effects.has(Effect::kOceanLoading)) {
    s.loading_m = rotate_back(axes_, ocean_loading_m(receiver_.loading, t));
  }
  const Enu to_arp{receiver_.antenna_east_m,
                   receiver_.antenna_north_m,
                   receiver_.antenna_height_m};
  s.arp.position_m = marker_ + rotate_back(axes_, s.moved_m) +
                     rotate_back(axes_, to_arp) + s.tide_m + s.loading_m;
  if (!receiver_.waypoints.empty()) {
    constexpr double kHalfS = 0.05;
    const Enu before = by_way(receiver_.waypoints, t_s - kHalfS);
    const Enu after = by_way(receiver_.waypoints, t_s + kHalfS);
    const double k = 1 / (2 * kHalfS);
    s.arp.velocity_mps = rotate_back(axes_,
                                     {k * (after.e_m - before.e_m),
                                      k * (after.n_m - before.n_m),
                                      k * (after.u_m - before.u_m)});
  }
  return s;
}

}  // namespace stillpoint::simulate

#include "stillpoint/solve/tie_view.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/models/relativity.h"
#include "stillpoint/models/wind_up.h"

namespace stillpoint::solve {
namespace {

AntennaVector in_body(const models::BodyAxes& axes, const Ecef& v) {
  return {dot(axes.x, v), dot(axes.y, v), dot(axes.z, v)};
}

PppOptions options_of(const TieOptions& tie, const TieEnd& end) {
  PppOptions options;
  options.systems = tie.systems;
  options.elevation_mask_rad = tie.elevation_mask_rad;
  options.without = tie.without;
  options.aids = tie.aids;
  options.antenna_type = end.antenna_type;
  options.antenna_serial = end.antenna_serial;
  options.antenna_delta_enu_m = end.antenna_delta_enu_m;
  return options;
}

// What PppSite asks of a session: its span and its place.
PppSession frame_of(const TieSession& tie, const Ecef& marker_m) {
  PppSession session;
  if (!tie.epochs.empty()) {
    session.epochs.push_back({tie.epochs.front().time, 0, 0});
    session.epochs.push_back({tie.epochs.back().time, 0, 0});
  }
  session.reference = marker_m;
  return session;
}

}  // namespace

TieView::TieView(const TieOptions& tie,
                 const TieEnd& end,
                 const TieSession& session,
                 const Ecef& marker_m)
    : options_(options_of(tie, end)),
      site_(options_, frame_of(session, marker_m)),
      antennas_(options_),
      turns_(SatId::kIndexCount, 0.0) {}

models::BodyAxes TieView::axes(SatId sat,
                               const SatelliteState& state,
                               GnssTime t) {
  return models::satellite_axes(antennas_.satellite(sat, t).habit,
                                sight_.satellite_m,
                                state.velocity_mps,
                                site_.sun_m());
}

bool TieView::look(SatId /*sat*/, const SatelliteState& state) {
  sight_ = sight_of(
      state, site_.antenna_m(), !options_.without.has(Term::kEarthRotation));
  local_ = rotate(site_.enu_R_ecef(), sight_.unit);
  elevation_rad_ = std::asin(std::clamp(local_.u_m, -1.0, 1.0));
  if (elevation_rad_ < options_.elevation_mask_rad) {
    return false;
  }
  mapping_ = site_.troposphere().mapping(elevation_rad_);
  return true;
}

double TieView::common_m(const SatelliteState& state, bool far) const {
  const TermSet& without = options_.without;
  double sum_m = sight_.range_m;
  if (!without.has(Term::kSatelliteClock)) {
    sum_m -= kSpeedOfLightMps * state.clock_s;
  }
  if (!without.has(Term::kRelativity)) {
    sum_m -= kSpeedOfLightMps * state.relativity_s;
  }
  if (far && !without.has(Term::kShapiro)) {
    sum_m += models::shapiro_delay_m(sight_.satellite_m, site_.antenna_m());
  }
  if (!without.has(Term::kTroposphere)) {
    sum_m += site_.troposphere().slant_m(mapping_);
  }
  return sum_m;
}

double TieView::antenna_m(SatId sat,
                          const SatelliteState& state,
                          GnssTime t,
                          SignalCode signal,
                          double wavelength_m,
                          bool far) {
  // One band alone: a combination that is all first signal.
  PppRow row;
  row.sat = sat;
  row.phase_first = row.phase_second = signal;
  row.first_hz = row.second_hz = kSpeedOfLightMps / wavelength_m;
  double sum_m =
      antennas_.receiver_m(row, {local_.n_m, local_.e_m, local_.u_m});
  if (far && state.centre_of_mass) {
    sum_m +=
        antennas_.satellite_m(antennas_.satellite(sat, t),
                              row,
                              in_body(axes(sat, state, t), -1.0 * sight_.unit));
  }
  return sum_m;
}

double TieView::turn_cyc(SatId sat, const SatelliteState& state, GnssTime t) {
  double& turn = turns_[static_cast<std::size_t>(sat.index())];
  turn = models::wind_up_cyc(axes(sat, state, t),
                             sight_.satellite_m,
                             site_.antenna_m(),
                             site_.enu_R_ecef(),
                             turn);
  return turn;
}

}  // namespace stillpoint::solve

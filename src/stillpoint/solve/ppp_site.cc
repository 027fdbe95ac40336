#include "stillpoint/solve/ppp_site.h"

#include "stillpoint/models/beidou_code.h"
#include "stillpoint/models/pole_tide.h"
#include "stillpoint/models/solid_tide.h"

namespace stillpoint::solve {
namespace {

// The a priori air changes with the season alone.
constexpr std::int64_t kAirNs = 21'600 * GnssTime::kNsPerS;  // 6 hours

GnssTime first_of(const PppSession& s) {
  return s.epochs.empty() ? GnssTime{} : s.epochs.front().time;
}
GnssTime last_of(const PppSession& s) {
  return s.epochs.empty() ? GnssTime{} : s.epochs.back().time;
}

}  // namespace

PppSite::PppSite(const PppOptions& options, const PppSession& session)
    : options_(options),
      marker_m_(session.reference),
      place_(to_geodetic(session.reference)),
      track_(first_of(session), last_of(session), options.aids.earth) {
  enu_R_ecef_ = stillpoint::enu_R_ecef(place_);
  reference_point_m_ = marker_m_;
  if (!options.without.has(Term::kAntennaHeight)) {
    reference_point_m_ =
        marker_m_ + rotate_back(enu_R_ecef_, options.antenna_delta_enu_m);
  }
  if (options.aids.loading != nullptr &&
      !options.without.has(Term::kOceanLoading)) {
    loading_.emplace(*options.aids.loading, first_of(session));
  }
}

bool PppSite::prepare(GnssTime t) {
  const std::int64_t slot = t.ns() / kAirNs;
  if (slot != troposphere_slot_) {
    auto air = models::TroposphereModel::at(place_, t);
    if (!air) {
      return false;
    }
    troposphere_ = *air;
    troposphere_slot_ = slot;
  }
  const models::SunMoon bodies = track_.at(t);
  sun_m_ = bodies.sun_m;
  antenna_m_ = reference_point_m_;
  const TermSet& without = options_.without;
  if (!without.has(Term::kSolidTide)) {
    antenna_m_ = antenna_m_ + models::solid_tide_m(marker_m_, bodies, t);
  }
  if (loading_) {
    antenna_m_ =
        antenna_m_ + rotate_back(enu_R_ecef_, loading_->displacement_m(t));
  }
  if (!without.has(Term::kPoleTide)) {
    const auto orientation = options_.aids.earth == nullptr
                                 ? std::nullopt
                                 : options_.aids.earth->at(t);
    if (orientation) {
      antenna_m_ = antenna_m_ + models::pole_tide_m(marker_m_, *orientation, t);
    } else {
      earth_missing_ = true;
    }
  }
  return true;
}

double PppSite::zenith_hydrostatic_m() const {
  return troposphere_ ? troposphere_->zenith_hydrostatic_m() : 0;
}

double PppSite::zenith_wet_m() const {
  return troposphere_ ? troposphere_->zenith_wet_m() : 0;
}

double PppSite::beidou_code_m(const PppRow& row, double elevation_rad) const {
  const double first = models::beidou_code_correction_m(
      row.sat, row.code_first.band, elevation_rad);
  const double second = models::beidou_code_correction_m(
      row.sat, row.code_second.band, elevation_rad);
  return row.weight_first * first + (1 - row.weight_first) * second;
}

}  // namespace stillpoint::solve

#include "stillpoint/models/sun_moon.h"

#include <erfa.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include "stillpoint/models/earth_axes.h"
#include "stillpoint/models/tide_arguments.h"

namespace stillpoint::models {
namespace {

constexpr double kJ2000 = 2'451'545.0;
constexpr double kAstronomicalUnitM = 149'597'870'700.0;
constexpr double kNodeS = 3600;
constexpr double kLongestSpanS = 400 * 86'400.0;

Ecef from_au(const double (&au)[3]) {
  return kAstronomicalUnitM * Ecef{au[0], au[1], au[2]};
}

// Both in CIRS axes. TT stands for TDB: 2 ms, 60 m of the Sun's path.
SunMoon in_cirs(GnssTime t) {
  const double days = days_of_tt(t);
  double heliocentric[2][3];
  double barycentric[2][3];
  // Its only complaint, a date outside 1900 .. 2100, costs accuracy alone.
  eraEpv00(kJ2000, days, heliocentric, barycentric);
  double moon[2][3];
  eraMoon98(kJ2000, days, moon);
  const Mat3 cirs_R_gcrs = models::cirs_R_gcrs(t);
  return {.sun_m = turn(cirs_R_gcrs, -1 * from_au(heliocentric[0])),
          .moon_m = turn(cirs_R_gcrs, from_au(moon[0]))};
}

// Weights of four values, one before and one after the interval, at a share u
// of it: the cubic through them.
std::array<double, 4> cubic_weights(double u) {
  return {-u * (u - 1) * (u - 2) / 6,
          (u + 1) * (u - 1) * (u - 2) / 2,
          -(u + 1) * u * (u - 2) / 2,
          (u + 1) * u * (u - 1) / 6};
}

}  // namespace

SunMoon sun_moon(GnssTime t, const EarthOrientation& eop) {
  const SunMoon cirs = in_cirs(t);
  const double angle =
      earth_rotation_rad(t, ut1_minus_gpst_s(t, eop.ut1_minus_utc_s));
  return {
      .sun_m = to_earth_axes(cirs.sun_m, angle, eop.x_pole_rad, eop.y_pole_rad),
      .moon_m =
          to_earth_axes(cirs.moon_m, angle, eop.x_pole_rad, eop.y_pole_rad)};
}

SunMoonTrack::Orientation SunMoonTrack::orientation_at(
    GnssTime t, const EarthOrientationSeries* eop) {
  if (eop != nullptr) {
    if (const std::optional<EarthOrientation> o = eop->at(t)) {
      return {.ut1_minus_gpst_s = ut1_minus_gpst_s(t, o->ut1_minus_utc_s),
              .x_pole_rad = o->x_pole_rad,
              .y_pole_rad = o->y_pole_rad,
              .known = true};
    }
  }
  return {};
}

EarthOrientation SunMoonTrack::as_eop(const Orientation& o, GnssTime t) {
  if (!o.known) {
    return {};
  }
  return {.x_pole_rad = o.x_pole_rad,
          .y_pole_rad = o.y_pole_rad,
          .ut1_minus_utc_s = o.ut1_minus_gpst_s - ut1_minus_gpst_s(t, 0)};
}

SunMoonTrack::SunMoonTrack(GnssTime first,
                           GnssTime last,
                           const EarthOrientationSeries* eop)
    : first_(first), last_(last) {
  if (last_ < first_) {
    std::swap(first_, last_);
  }
  at_first_ = orientation_at(first_, eop);
  at_last_ = orientation_at(last_, eop);
  const double span_s = (last_ - first_).s;
  if (span_s > kLongestSpanS) {
    return;
  }
  const int intervals = static_cast<int>(std::floor(span_s / kNodeS)) + 1;
  for (int i = -1; i <= intervals + 1; ++i) {
    const GnssTime t = first_ + Duration{i * kNodeS};
    nodes_.push_back(
        {.cirs = in_cirs(t), .orientation = orientation_at(t, eop)});
  }
}

SunMoon SunMoonTrack::at(GnssTime t) const {
  if (t < first_ || t > last_ || nodes_.empty()) {
    const bool nearer_first =
        std::abs((t - first_).s) < std::abs((t - last_).s);
    return sun_moon(t, as_eop(nearer_first ? at_first_ : at_last_, t));
  }
  const double place = (t - first_).s / kNodeS;
  const auto before = static_cast<std::size_t>(place);
  const double u = place - static_cast<double>(before);
  const std::array<double, 4> weights = cubic_weights(u);
  SunMoon cirs;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const SunMoon& node = nodes_[before + i].cirs;
    cirs.sun_m = cirs.sun_m + weights[i] * node.sun_m;
    cirs.moon_m = cirs.moon_m + weights[i] * node.moon_m;
  }
  const Orientation& a = nodes_[before + 1].orientation;
  const Orientation& b = nodes_[before + 2].orientation;
  Orientation o{.ut1_minus_gpst_s = ut1_minus_gpst_s(t, 0)};
  if (a.known && b.known) {
    const auto between = [u](double from, double to) {
      return from + u * (to - from);
    };
    o = {.ut1_minus_gpst_s = between(a.ut1_minus_gpst_s, b.ut1_minus_gpst_s),
         .x_pole_rad = between(a.x_pole_rad, b.x_pole_rad),
         .y_pole_rad = between(a.y_pole_rad, b.y_pole_rad),
         .known = true};
  }
  const double angle = earth_rotation_rad(t, o.ut1_minus_gpst_s);
  return {
      .sun_m = to_earth_axes(cirs.sun_m, angle, o.x_pole_rad, o.y_pole_rad),
      .moon_m = to_earth_axes(cirs.moon_m, angle, o.x_pole_rad, o.y_pole_rad)};
}

}  // namespace stillpoint::models

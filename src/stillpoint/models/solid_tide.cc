#include "stillpoint/models/solid_tide.h"

#include <cmath>
#include <numbers>

#include "stillpoint/models/solid_tide_step2_table.h"
#include "stillpoint/models/tide_arguments.h"

namespace stillpoint::models {
namespace {

constexpr double kEarthRadiusM = 6'378'136.6;
constexpr double kSunPerEarth = 332'946.0482;
constexpr double kMoonPerEarth = 0.0123000371;
constexpr double kNearestM = 1e6;
constexpr double kDeg = std::numbers::pi / 180;

// Love and Shida numbers: nominal degree 2 with their change with latitude,
// degree 3, out of phase (diurnal, semidiurnal), transverse of l(1).
constexpr double kH2 = 0.6078;
constexpr double kL2 = 0.0847;
constexpr double kH2Latitude = -0.0006;
constexpr double kL2Latitude = 0.0002;
constexpr double kH3 = 0.292;
constexpr double kL3 = 0.015;
constexpr double kDiurnalOutH = -0.0025;
constexpr double kDiurnalOutL = -0.0007;
constexpr double kSemidiurnalOutH = -0.0022;
constexpr double kSemidiurnalOutL = -0.0007;
constexpr double kDiurnalL1 = 0.0012;
constexpr double kSemidiurnalL1 = 0.0024;

// Geocentric place of the station.
struct Site {
  Ecef unit;
  double sin_lat = 0, cos_lat = 0, sin_lon = 0, cos_lon = 1;
};

Site site_of(const Ecef& station, double radius_m) {
  Site s{.unit = 1 / radius_m * station};
  s.sin_lat = s.unit.z_m;
  s.cos_lat = std::hypot(s.unit.x_m, s.unit.y_m);
  if (s.cos_lat > 0) {
    s.sin_lon = s.unit.y_m / s.cos_lat;
    s.cos_lon = s.unit.x_m / s.cos_lat;
  }
  return s;
}

// The body in phase: adds to `sum`.
void add_in_phase(const Site& s,
                  const Ecef& body,
                  double degree2_m,
                  double degree3_m,
                  Ecef& sum) {
  const double latitude = 1 - 1.5 * s.cos_lat * s.cos_lat;
  const double h2 = kH2 + kH2Latitude * latitude;
  const double l2 = kL2 + kL2Latitude * latitude;
  const double c = dot(s.unit, body);
  const double up2 = 3 * (h2 / 2 - l2) * c * c - h2 / 2;
  const double up3 = 2.5 * (kH3 - 3 * kL3) * c * c * c + 1.5 * (kL3 - kH3) * c;
  const double to2 = 3 * l2 * c;
  const double to3 = 1.5 * kL3 * (5 * c * c - 1);
  sum = sum + (degree2_m * up2 + degree3_m * up3) * s.unit +
        (degree2_m * to2 + degree3_m * to3) * body;
}

// What lags, and what depends on latitude besides: east, north, up.
void add_corrections(const Site& s,
                     const Ecef& body,
                     double degree2_m,
                     Enu& sum) {
  const double sp = s.sin_lat;
  const double cp = s.cos_lat;
  // Components of the body's place along and across the station's meridian.
  const double along = body.x_m * s.cos_lon + body.y_m * s.sin_lon;
  const double across = body.x_m * s.sin_lon - body.y_m * s.cos_lon;
  const double day_along = 3 * degree2_m * body.z_m * along;
  const double day_across = 3 * degree2_m * body.z_m * across;
  const double half_along = 1.5 * degree2_m * (along * along - across * across);
  const double half_across = 1.5 * degree2_m * 2 * along * across;
  const double cos_twice_lat = cp * cp - sp * sp;
  sum.u_m += -kDiurnalOutH * sp * cp * day_across -
             kSemidiurnalOutH / 2 * cp * cp * half_across;
  sum.n_m += -kDiurnalOutL * cos_twice_lat * day_across +
             kSemidiurnalOutL * sp * cp * half_across -
             kDiurnalL1 * sp * sp * day_along -
             kSemidiurnalL1 * sp * cp * half_along;
  sum.e_m += -kDiurnalOutL * sp * day_along -
             kSemidiurnalOutL * cp * half_along +
             kDiurnalL1 * sp * cos_twice_lat * day_across -
             kSemidiurnalL1 * sp * sp * cp * half_across;
}

// Step 2.
void add_frequency_dependence(const Site& s, GnssTime t, Enu& sum) {
  constexpr double kPerMm = 1e-3;
  TideArguments angles = tide_arguments_rad(t);
  // As the published routine counts: lunar time by sidereal time, which leads
  // the mean Sun by 21 arcsec of aberration less (1 um of tide), and the Moon's
  // longitude with the general precession in it (0.3 degrees by 2020; 0.06 mm).
  const double c = centuries_of_tt(t);
  angles[0] -= 0.0058316 * kDeg;
  angles[1] += (1.396971278 + 0.000308889 * c) * c * kDeg;
  const double cos_twice_lat = s.cos_lat * s.cos_lat - s.sin_lat * s.sin_lat;
  const double sin_twice_lat = 2 * s.sin_lat * s.cos_lat;
  const double lon = std::atan2(s.sin_lon, s.cos_lon);
  for (const LoveCorrection& w : kDiurnalCorrections) {
    const double angle = combine(w.doodson, angles) + lon;
    const double sine = std::sin(angle) * kPerMm;
    const double cosine = std::cos(angle) * kPerMm;
    sum.u_m +=
        sin_twice_lat * (w.radial_in_mm * sine + w.radial_out_mm * cosine);
    sum.n_m += cos_twice_lat *
               (w.transverse_in_mm * sine + w.transverse_out_mm * cosine);
    sum.e_m +=
        s.sin_lat * (w.transverse_in_mm * cosine - w.transverse_out_mm * sine);
  }
  const double zonal = 1.5 * s.sin_lat * s.sin_lat - 0.5;
  for (const LoveCorrection& w : kLongPeriodCorrections) {
    const double angle = combine(w.doodson, angles);
    const double sine = std::sin(angle) * kPerMm;
    const double cosine = std::cos(angle) * kPerMm;
    sum.u_m += zonal * (w.radial_in_mm * cosine + w.radial_out_mm * sine);
    sum.n_m += sin_twice_lat *
               (w.transverse_in_mm * cosine + w.transverse_out_mm * sine);
  }
}

// Geocentric east, north, up to Earth-fixed axes.
Ecef to_axes(const Site& s, const Enu& v) {
  const double out = v.u_m * s.cos_lat - v.n_m * s.sin_lat;
  return {out * s.cos_lon - v.e_m * s.sin_lon,
          out * s.sin_lon + v.e_m * s.cos_lon,
          v.u_m * s.sin_lat + v.n_m * s.cos_lat};
}

}  // namespace

Ecef solid_tide_m(const Ecef& station, const SunMoon& sun_moon, GnssTime t) {
  const double radius_m = norm(station);
  if (!(radius_m > kNearestM)) {
    return {};
  }
  const Site site = site_of(station, radius_m);
  Ecef sum;
  Enu corrections;
  const auto add_body = [&](const Ecef& body, double mass_ratio) {
    const double distance_m = norm(body);
    if (!(distance_m > kEarthRadiusM)) {
      return;  // no body there
    }
    const Ecef unit = 1 / distance_m * body;
    const double ratio = kEarthRadiusM / distance_m;
    const double degree2_m = mass_ratio * kEarthRadiusM * ratio * ratio * ratio;
    add_in_phase(site, unit, degree2_m, degree2_m * ratio, sum);
    add_corrections(site, unit, degree2_m, corrections);
  };
  add_body(sun_moon.sun_m, kSunPerEarth);
  add_body(sun_moon.moon_m, kMoonPerEarth);
  add_frequency_dependence(site, t, corrections);
  return sum + to_axes(site, corrections);
}

}  // namespace stillpoint::models

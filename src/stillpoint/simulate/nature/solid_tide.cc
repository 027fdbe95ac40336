#include "stillpoint/simulate/nature/solid_tide.h"

#include <cmath>

#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kEarthRadiusM = 6'378'136.6;
constexpr double kSunMass = 332'946.0482;  // over the Earth's
constexpr double kMoonMass = 0.0123000371;

// Nominal Love and Shida numbers: IERS Conventions (2010), table 7.2 and the
// text around eqs 5 to 11.
constexpr double kH2 = 0.6078, kH2Latitude = -0.0006;
constexpr double kL2 = 0.0847, kL2Latitude = 0.0002;
constexpr double kH3 = 0.292, kL3 = 0.015;
constexpr double kOutDiurnalH = -0.0025, kOutDiurnalL = -0.0007;
constexpr double kOutSemiH = -0.0022, kOutSemiL = -0.0007;
constexpr double kL1Diurnal = 0.0012, kL1Semi = 0.0024;

// The station's geocentric (spherical) place and its local axes.
struct Place {
  Ecef up, north, east;
  double sin_lat, cos_lat, lon_rad;
};

Place place_of(const Ecef& station) {
  Place p;
  const double axis = std::hypot(station.x_m, station.y_m);
  const double r = norm(station);
  p.sin_lat = station.z_m / r;
  p.cos_lat = axis / r;
  p.lon_rad = std::atan2(station.y_m, station.x_m);
  const double cl = station.x_m / axis, sl = station.y_m / axis;
  p.up = (1 / r) * station;
  p.north = {-p.sin_lat * cl, -p.sin_lat * sl, p.cos_lat};
  p.east = {-sl, cl, 0};
  return p;
}

// Degrees 2 and 3 in phase: eqs 5 and 6.
Ecef in_phase(const Place& p, const Ecef& body_m, double mass) {
  const double distance = norm(body_m);
  const Ecef to_body = (1 / distance) * body_m;
  const double ratio = kEarthRadiusM / distance;
  const double scale2 = mass * kEarthRadiusM * ratio * ratio * ratio;
  const double scale3 = scale2 * ratio;
  const double c = dot(to_body, p.up);
  const Ecef across = to_body - c * p.up;

  const double legendre2 = (3 * p.sin_lat * p.sin_lat - 1) / 2;
  const double h2 = kH2 + kH2Latitude * legendre2;
  const double l2 = kL2 + kL2Latitude * legendre2;
  const double up = scale2 * h2 * (1.5 * c * c - 0.5) +
                    scale3 * kH3 * (2.5 * c * c - 1.5) * c;
  const double side = scale2 * 3 * l2 * c + scale3 * kL3 * (7.5 * c * c - 1.5);
  return up * p.up + side * across;
}

// What comes late by the Earth's friction (eqs 10 and 11) and the latitude
// dependence l(1) (eqs 8 and 9), of the daily and half-daily tides.
Ecef by_period(const Place& p, const Ecef& body_m, double mass) {
  const double distance = norm(body_m);
  const double ratio = kEarthRadiusM / distance;
  const double scale = mass * kEarthRadiusM * ratio * ratio * ratio;
  const double sin_body = body_m.z_m / distance;
  const double cos_body = std::hypot(body_m.x_m, body_m.y_m) / distance;
  const double hour = p.lon_rad - std::atan2(body_m.y_m, body_m.x_m);
  const double s1 = std::sin(hour), c1 = std::cos(hour);
  const double s2 = std::sin(2 * hour), c2 = std::cos(2 * hour);
  const double sin_2lat = 2 * p.sin_lat * p.cos_lat;
  const double cos_2lat = p.cos_lat * p.cos_lat - p.sin_lat * p.sin_lat;
  const double daily = 2 * sin_body * cos_body;  // sin of twice the angle
  const double half_daily = cos_body * cos_body;

  double up = -0.75 * kOutDiurnalH * daily * sin_2lat * s1;
  double north = -1.5 * kOutDiurnalL * daily * cos_2lat * s1;
  double east = -1.5 * kOutDiurnalL * daily * p.sin_lat * c1;

  up += -0.75 * kOutSemiH * half_daily * p.cos_lat * p.cos_lat * s2;
  north += 0.75 * kOutSemiL * half_daily * sin_2lat * s2;
  east += -0.75 * kOutSemiL * half_daily * 2 * p.cos_lat * c2;

  const double p21 = 1.5 * daily, p22 = 3 * half_daily;
  north += -kL1Diurnal * p.sin_lat * p21 * p.sin_lat * c1;
  east += kL1Diurnal * p.sin_lat * p21 * cos_2lat * s1;
  north += -0.5 * kL1Semi * p.sin_lat * p.cos_lat * p22 * c2;
  east += -0.5 * kL1Semi * p.sin_lat * p.cos_lat * p22 * p.sin_lat * s2;

  return scale * (up * p.up + north * p.north + east * p.east);
}

}  // namespace

Ecef solid_tide_step1_m(const Ecef& station, const SunMoon& bodies) {
  const Place p = place_of(station);
  return in_phase(p, bodies.sun_m, kSunMass) +
         in_phase(p, bodies.moon_m, kMoonMass) +
         by_period(p, bodies.sun_m, kSunMass) +
         by_period(p, bodies.moon_m, kMoonMass);
}

Ecef solid_tide_m(const Ecef& station, const SunMoon& bodies, GnssTime t) {
  return solid_tide_step1_m(station, bodies) + solid_tide_step2_m(station, t);
}

}  // namespace stillpoint::simulate

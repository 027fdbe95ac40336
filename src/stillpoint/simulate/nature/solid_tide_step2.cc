// Step 2 of the solid tide: what the Love numbers' dependence on frequency
// adds.
#include <array>
#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/solid_tide.h"
#include "stillpoint/simulate/nature/sun_moon_series.h"
#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// Doodson multipliers, then radial in and out of phase, transverse in and out
// of phase [mm].
struct Row {
  int tau, s, h, p, n, ps;
  double radial_in, radial_out, side_in, side_out;
};

// source: shared/models/solid_tide_step2.csv (IERS Conventions 2010, tables
// 7.3a and 7.3b, extended as in the routine of chapter 7)
constexpr std::array<Row, 31> kDiurnal{{
    {1, -3, 0, 2, 0, 0, -0.01, -0.01, 0, 0},
    {1, -3, 2, 0, 0, 0, -0.01, -0.01, 0, 0},
    {1, -2, 0, 1, -1, 0, -0.02, -0.01, 0, 0},
    {1, -2, 0, 1, 0, 0, -0.08, 0, 0.01, 0.01},
    {1, -2, 2, -1, 0, 0, -0.02, -0.01, 0, 0},
    {1, -1, 0, 0, -1, 0, -0.1, 0, 0, 0},
    {1, -1, 0, 0, 0, 0, -0.51, 0, -0.02, 0.03},
    {1, -1, 2, 0, 0, 0, 0.01, 0, 0, 0},
    {1, 0, -2, 1, 0, 0, 0.01, 0, 0, 0},
    {1, 0, 0, -1, 0, 0, 0.02, 0.01, 0, 0},
    {1, 0, 0, 1, 0, 0, 0.06, 0, 0, 0},
    {1, 0, 0, 1, 1, 0, 0.01, 0, 0, 0},
    {1, 0, 2, -1, 0, 0, 0.01, 0, 0, 0},
    {1, 1, -3, 0, 0, 1, -0.06, 0, 0, 0},
    {1, 1, -2, 0, 1, 0, 0.01, 0, 0, 0},
    {1, 1, -2, 0, 0, 0, -1.23, -0.07, 0.06, 0.01},
    {1, 1, -1, 0, 0, -1, 0.02, 0, 0, 0},
    {1, 1, -1, 0, 0, 1, 0.04, 0, 0, 0},
    {1, 1, 0, 0, -1, 0, -0.22, 0.01, 0.01, 0},
    {1, 1, 0, 0, 0, 0, 12, -0.78, -0.67, -0.03},
    {1, 1, 0, 0, 1, 0, 1.73, -0.12, -0.1, 0},
    {1, 1, 0, 0, 2, 0, -0.04, 0, 0, 0},
    {1, 1, 1, 0, 0, -1, -0.5, -0.01, 0.03, 0},
    {1, 1, 1, 0, 0, 1, 0.01, 0, 0, 0},
    {1, 1, 1, 0, 1, -1, -0.01, 0, 0, 0},
    {1, 1, 2, -2, 0, 0, -0.01, 0, 0, 0},
    {1, 1, 2, 0, 0, 0, -0.11, 0.01, 0.01, 0},
    {1, 2, -2, 1, 0, 0, -0.01, 0, 0, 0},
    {1, 2, 0, -1, 0, 0, -0.02, 0.02, 0, 0.01},
    {1, 3, 0, 0, 0, 0, 0, 0.01, 0, 0.01},
    {1, 3, 0, 0, 1, 0, 0, 0.01, 0, 0},
}};
constexpr std::array<Row, 5> kLongPeriod{{
    {0, 0, 0, 0, 1, 0, 0.47, 0.16, 0.23, 0.07},
    {0, 0, 2, 0, 0, 0, -0.2, -0.11, -0.12, -0.05},
    {0, 1, 0, -1, 0, 0, -0.11, -0.09, -0.08, -0.04},
    {0, 2, 0, 0, 0, 0, -0.13, -0.15, -0.11, -0.07},
    {0, 2, 0, 0, 1, 0, -0.05, -0.06, -0.05, -0.03},
}};

struct Doodson {
  double tau, s, h, p, n, ps;  // [deg]
};

Doodson doodson(GnssTime t) {
  const MeanAngles a = mean_angles(julian_centuries_tt(t));
  // The Moon's hour angle at Greenwich, from lower transit of the mean Sun.
  const double tau = 15 * utc_hour(t) + a.sun_deg - a.moon_deg;
  return {tau,
          a.moon_deg,
          a.sun_deg,
          a.moon_perigee_deg,
          -a.moon_node_deg,
          a.sun_perigee_deg};
}

double angle_rad(const Row& r, const Doodson& d) {
  const double deg = r.tau * d.tau + r.s * d.s + r.h * d.h + r.p * d.p +
                     r.n * d.n + r.ps * d.ps;
  return std::fmod(deg, 360.0) * kDeg;
}

}  // namespace

Ecef solid_tide_step2_m(const Ecef& station, GnssTime t) {
  const double axis = std::hypot(station.x_m, station.y_m);
  const double r = norm(station);
  const double sin_lat = station.z_m / r, cos_lat = axis / r;
  const double cl = station.x_m / axis, sl = station.y_m / axis;
  const double sin_2lat = 2 * sin_lat * cos_lat;
  const double cos_2lat = cos_lat * cos_lat - sin_lat * sin_lat;
  const double lon_rad = std::atan2(station.y_m, station.x_m);
  const Doodson d = doodson(t);

  double up = 0, north = 0, east = 0;  // [mm]
  for (const Row& k : kDiurnal) {      // eq. 12
    const double angle = angle_rad(k, d) + lon_rad;
    const double si = std::sin(angle), co = std::cos(angle);
    up += (k.radial_in * si + k.radial_out * co) * sin_2lat;
    east += (k.side_in * co - k.side_out * si) * sin_lat;
    north += (k.side_in * si + k.side_out * co) * cos_2lat;
  }
  for (const Row& k : kLongPeriod) {  // eq. 13
    const double angle = angle_rad(k, d);
    const double si = std::sin(angle), co = std::cos(angle);
    up += (k.radial_in * co + k.radial_out * si) *
          (1.5 * sin_lat * sin_lat - 0.5);
    north += (k.side_in * co + k.side_out * si) * sin_2lat;
  }
  const Ecef up_axis = (1 / r) * station;
  const Ecef north_axis{-sin_lat * cl, -sin_lat * sl, cos_lat};
  const Ecef east_axis{-sl, cl, 0};
  return 1e-3 * (up * up_axis + north * north_axis + east * east_axis);
}

}  // namespace stillpoint::simulate

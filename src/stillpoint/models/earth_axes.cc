#include "stillpoint/models/earth_axes.h"

#include <erfa.h>

#include <cmath>

#include "stillpoint/models/tide_arguments.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kJ2000 = 2'451'545.0;
constexpr double kDayS = 86'400;

}  // namespace

Mat3 cirs_R_gcrs(GnssTime t) {
  double x = 0;
  double y = 0;
  double s = 0;
  eraXys00b(kJ2000, days_of_tt(t), &x, &y, &s);
  double m[3][3];
  eraC2ixys(x, y, s, m);
  return {m[0][0],
          m[0][1],
          m[0][2],
          m[1][0],
          m[1][1],
          m[1][2],
          m[2][0],
          m[2][1],
          m[2][2]};
}

double ut1_minus_gpst_s(GnssTime t, double ut1_minus_utc_s) {
  return ut1_minus_utc_s - gps_minus_utc_s(t);
}

double earth_rotation_rad(GnssTime t, double ut1_minus_gpst_s) {
  return eraEra00(kJ2000,
                  days_of_tt(t) + (ut1_minus_gpst_s - kTtMinusGpstS) / kDayS);
}

Ecef to_earth_axes(const Ecef& cirs,
                   double earth_rotation_rad,
                   double x_pole_rad,
                   double y_pole_rad) {
  const double c = std::cos(earth_rotation_rad);
  const double s = std::sin(earth_rotation_rad);
  const Ecef turned{
      c * cirs.x_m + s * cirs.y_m, c * cirs.y_m - s * cirs.x_m, cirs.z_m};
  return {turned.x_m + x_pole_rad * turned.z_m,
          turned.y_m - y_pole_rad * turned.z_m,
          turned.z_m - x_pole_rad * turned.x_m + y_pole_rad * turned.y_m};
}

Ecef turn(const Mat3& rotation, const Ecef& v) {
  const auto& r = rotation;
  return {r[0] * v.x_m + r[1] * v.y_m + r[2] * v.z_m,
          r[3] * v.x_m + r[4] * v.y_m + r[5] * v.z_m,
          r[6] * v.x_m + r[7] * v.y_m + r[8] * v.z_m};
}

}  // namespace stillpoint::models

#include "stillpoint/simulate/sky/still_orbit.h"

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kTiltRad = 5 * std::numbers::pi / 180;

// R_x(angle) v, the axes turned by the angle.
Ecef turn_about_x(const Ecef& v, double angle_rad) {
  const double c = std::cos(angle_rad), s = std::sin(angle_rad);
  return {v.x_m, c * v.y_m + s * v.z_m, -s * v.y_m + c * v.z_m};
}

// Of the orbital frame (towards the perigee, 90 degrees ahead of it).
Ecef in_earth_axes(const Elements& o, double x, double y) {
  const double cw = std::cos(o.omega_rad), sw = std::sin(o.omega_rad);
  const double along = x * cw - y * sw, ahead = x * sw + y * cw;
  const double cn = std::cos(o.node_rad), sn = std::sin(o.node_rad);
  const double ci = std::cos(o.i0_rad), si = std::sin(o.i0_rad);
  return {
      along * cn - ahead * ci * sn, along * sn + ahead * ci * cn, ahead * si};
}

}  // namespace

Elements elements_at(const Elements& elements, double t_s) {
  Elements o = elements;
  o.m0_rad += o.mean_motion_rad_per_s * t_s;
  o.i0_rad += o.idot_rad_per_s * t_s;
  o.node_rad += (o.node_rate_rad_per_s - o.earth_rate_rad_per_s) * t_s;
  return o;
}

Elements tilted_elements(const Elements& elements, double t_s) {
  Elements o = elements_at(elements, t_s);
  const Ecef perigee = turn_about_x(in_earth_axes(o, 1, 0), kTiltRad);
  const Ecef ahead = turn_about_x(in_earth_axes(o, 0, 1), kTiltRad);
  const double normal_x = perigee.y_m * ahead.z_m - perigee.z_m * ahead.y_m;
  const double normal_y = perigee.z_m * ahead.x_m - perigee.x_m * ahead.z_m;
  const double normal_z = perigee.x_m * ahead.y_m - perigee.y_m * ahead.x_m;
  o.i0_rad = std::atan2(std::hypot(normal_x, normal_y), normal_z);
  o.node_rad = std::atan2(normal_x, -normal_y);
  o.omega_rad = std::atan2(perigee.z_m, ahead.z_m);
  return o;
}

}  // namespace stillpoint::simulate

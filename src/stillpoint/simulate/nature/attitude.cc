#include "stillpoint/simulate/nature/attitude.h"

#include <cmath>

#include "stillpoint/simulate/nature/light_path.h"
#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

// Unit vectors of the orbit: outwards, along the motion, and the normal.
struct OrbitAxes {
  Ecef out, along, normal;
};

OrbitAxes orbit_axes(const Ecef& position, const Ecef& velocity) {
  // The motion in space, seen in the axes of this instant.
  const Ecef spin{0, 0, kEarthRateRadps};
  const Ecef motion = velocity + cross(spin, position);
  OrbitAxes o;
  o.out = unit(position);
  o.normal = unit(cross(position, motion));
  o.along = cross(o.normal, o.out);
  return o;
}

BodyAxes turned(const OrbitAxes& o, double yaw_rad) {
  const double c = std::cos(yaw_rad), s = std::sin(yaw_rad);
  // At yaw 0: x along the motion, y against the orbit's normal.
  return {
      c * o.along - s * o.normal, -s * o.along - c * o.normal, -1.0 * o.out};
}

SunAngles angles(const OrbitAxes& o, const Ecef& sun) {
  const Ecef s = unit(sun);
  const double normal = dot(s, o.normal);
  const double out = dot(s, o.out), along = dot(s, o.along);
  SunAngles a;
  a.beta_rad = std::asin(std::fmin(std::fmax(normal, -1.0), 1.0));
  a.orbit_rad = std::atan2(along, -out);
  // The Sun's direction across the nadir, as x and y of yaw 0: the same angle
  // as atan2(-tan beta, sin orbit).
  a.yaw_rad = normal == 0 && along == 0 ? 0 : std::atan2(-normal, along);
  return a;
}

}  // namespace

SunAngles sun_angles(const Ecef& satellite_m,
                     const Ecef& velocity_mps,
                     const Ecef& sun_m) {
  return angles(orbit_axes(satellite_m, velocity_mps), sun_m);
}

BodyAxes yaw_steering_axes(const Ecef& satellite_m,
                           const Ecef& velocity_mps,
                           const Ecef& sun_m) {
  const OrbitAxes o = orbit_axes(satellite_m, velocity_mps);
  return turned(o, angles(o, sun_m).yaw_rad);
}

BodyAxes axes_at_yaw(const Ecef& satellite_m,
                     const Ecef& velocity_mps,
                     double yaw_rad) {
  return turned(orbit_axes(satellite_m, velocity_mps), yaw_rad);
}

}  // namespace stillpoint::simulate

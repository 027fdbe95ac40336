// How the satellites of the simulated world hold themselves.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

// Unit vectors of the body in Earth-fixed axes: z towards the Earth's centre,
// y along the axis of the solar panels, x completes the right-handed set and
// is the side that faces the Sun.
struct BodyAxes {
  Ecef x, y, z;
};

// Angles of Sun and satellite.
struct SunAngles {
  double beta_rad = 0;   // elevation of the Sun above the orbital plane
  double orbit_rad = 0;  // from orbit midnight, in the direction of motion
  double yaw_rad = 0;    // nominal: atan2(-tan beta, sin orbit)
};

// Angles at one instant, all vectors in the Earth-fixed axes of that instant.
//
//   velocity_mps  in the rotating frame, as orbits give it
//   source        Kouba, GPS Solutions 13 (2009), p. 1, eq. 1 (from memory)
SunAngles sun_angles(const Ecef& satellite_m,
                     const Ecef& velocity_mps,
                     const Ecef& sun_m);

// Nominal yaw steering. Exactly at orbit noon or midnight with beta = 0 the
// yaw is taken as 0 (x along the motion).
//
//   threads   pure
BodyAxes yaw_steering_axes(const Ecef& satellite_m,
                           const Ecef& velocity_mps,
                           const Ecef& sun_m);

// The body turned by a given yaw about z; 0: x along the motion.
BodyAxes axes_at_yaw(const Ecef& satellite_m,
                     const Ecef& velocity_mps,
                     double yaw_rad);

}  // namespace stillpoint::simulate

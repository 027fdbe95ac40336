// The laws of the turns about orbit noon and midnight, as angles in the orbit's
// axes; satellite_axes() makes vectors of them.
#pragma once

#include "stillpoint/models/attitude.h"

namespace stillpoint::models {

// Where a satellite is in its passage of noon or midnight.
struct Passage {
  bool noon = false;            // else midnight
  double orbit_rad = 0;         // along the motion, 0 at noon or midnight
  double beta_rad = 0;          // Sun above the orbital plane
  double orbit_rate_radps = 0;  // > 0
  double radius_m = 0;          // from the Earth's centre
};

// The yaw's distance from its value at noon or midnight, counted so that the
// nominal one, atan2(sin(orbit), |tan(beta)|), grows from -pi/2 to pi/2.
struct Turn {
  double offset_rad = 0;  // any number of turns; set only where turning
  bool turning = false;   // false: nominal
  bool uncertain = false;
};

// Bounds beyond which yaw_turn() is nominal for every habit [rad]: 16 and 45
// degrees.
inline constexpr double kTurnBetaRad = 0.2792526803190927;
inline constexpr double kTurnOrbitRad = 0.7853981633974483;

// The turn of a habit at a place of the orbit; orbit-normal flight is not here.
//
//   passage   orbit_rad within +-pi/2
//   threads   pure
Turn yaw_turn(YawHabit habit, const Passage& passage);

// Half the width of the Earth's umbra, seen from the Earth's centre [rad].
//
//   radius_m  of the orbit, above the Earth's radius
//   source    geometry: asin of the Earth's radius over the orbit's, less the
//             Sun's half width (0.2666 degrees); atmosphere left out
double umbra_half_width_rad(double radius_m);

}  // namespace stillpoint::models

// Whether the antenna jumped between two epochs.
#pragma once

#include <vector>

#include "stillpoint/geo/coords.h"

namespace stillpoint::solve {

// One satellite's phase difference between two epochs, model and receiver clock
// taken off.
struct TimeStep {
  Ecef to_satellite;  // unit vector
  double step_m = 0;
  double sine = 1;       // of the elevation
  double between_m = 0;  // one sigma of what clocks were bridged by
};

// Size of the jump that the steps agree on [m]; 0 where there is none: where
// they are too few, where the jump is below 3 cm or 8 sigmas, or above 10 m (no
// antenna jumps so far), or where it does not explain what the steps show down
// to their noise. Up to a third of the satellites may have slipped at the same
// time.
//
//   source   least squares of position change and clock change by time
//            differences, common practice, no source
double jump_of(std::vector<TimeStep> steps);

}  // namespace stillpoint::solve

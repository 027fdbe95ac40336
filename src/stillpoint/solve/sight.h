// A satellite as an antenna sees it: where it was when it sent, in the axes of
// the time of receiving.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint::solve {

struct Sight {
  Ecef satellite_m;  // at sending, in the axes of receiving
  Ecef unit;         // from antenna to satellite
  double range_m = 0;
};

//   state         at the satellite's own reading at sending
//   earth_turns   false: the turn of the Earth during the flight is left out
Sight sight_of(const SatelliteState& state,
               const Ecef& antenna_m,
               bool earth_turns);

}  // namespace stillpoint::solve

// What a broadcast set says about its own worth, beside health and validity
// (broadcast.h): plausibility and expected accuracy. Inside this module only.
#pragma once

#include "stillpoint/gnss/ephemeris.h"

namespace stillpoint {

// One-sigma range error to expect of a set [m]: what it says about itself, at
// least 0.5 m. The figures of the messages are steps that start at 2 m (GPS,
// BeiDou) or bounds (Galileo); where a set says nothing, 3 m, GLONASS 5 m, and
// 10 m for a Galileo set that refuses a prediction.
//
//   source   floor and defaults: common practice, no source
double range_sigma_m(const KeplerEphemeris& e);
double range_sigma_m(const StateEphemeris& e);

}  // namespace stillpoint

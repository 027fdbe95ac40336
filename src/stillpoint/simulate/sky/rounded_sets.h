// Broadcast sets as the fields of their messages can hold them.
#pragma once

#include "stillpoint/gnss/ephemeris.h"

namespace stillpoint::simulate {

// Through the RTCM message and back; the set as it is where it does not fit.
// What the message has no place for stays.
KeplerEphemeris rounded(const KeplerEphemeris& e);
StateEphemeris rounded(const StateEphemeris& e);

}  // namespace stillpoint::simulate

// What the decoders of Kepler sets and of state vectors share. Inside this
// module only.
#pragma once

#include <cstddef>
#include <optional>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rinex/navigation_fields.h"

namespace stillpoint::rinex::nav {

inline constexpr double kWeekS = 604'800;
inline constexpr double kDayS = 86'400;

// Scale of the calendars in a system's records.
TimeScale scale_of(System system);

// The instant nearest to `near` that reads `seconds` in a count that starts
// anew every `period_s` and is `ahead_s` ahead of GPST. The record's calendar
// decides the week, whatever the week number says.
GnssTime nearest(double seconds,
                 double period_s,
                 double ahead_s,
                 GnssTime near);

// A broadcast accuracy [m]; zero, negative and blank are "not known".
double positive_or_missing(const FieldTable& f,
                           std::size_t row,
                           std::size_t column);

// The error with the satellite in front.
Error with_satellite(Error error, SatId sat);
Error not_an_orbit(SatId sat);

}  // namespace stillpoint::rinex::nav

// Epoch times of observation messages: milliseconds of a week or of a GLONASS
// day on the wire, an instant inside. Nobody here reads a clock: an instant
// near the epoch tells the week.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// The instant nearest to `near` that an MSM header's epoch (30 bits) means.
//
//   returns  nothing for a reading outside its week or day
//   source   RTCM 10403.3: DF004, DF248, DF427, DF428, DF546 are milliseconds
//            of the week (BeiDou: of BDT); DF416 and DF034 the day of the week
//            (7: not known) and the milliseconds of the GLONASS day, which is
//            UTC + 3 h and may end with a leap second
std::optional<GnssTime> msm_epoch_time(System system,
                                       std::uint32_t epoch,
                                       GnssTime near);

// The header's epoch of an instant; nothing unless it is a whole millisecond.
std::optional<std::uint32_t> msm_epoch_field(System system, GnssTime time);

// The same for DF004 (ms of GPS week) and DF034 (ms of GLONASS day) alone, of
// the legacy messages.
std::optional<GnssTime> week_ms_time(std::uint32_t ms, GnssTime near);
std::optional<GnssTime> glonass_day_ms_time(std::uint32_t ms, GnssTime near);
std::optional<std::uint32_t> glonass_day_ms(GnssTime time);

}  // namespace stillpoint::rtcm

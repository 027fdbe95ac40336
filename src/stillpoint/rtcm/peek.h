// Single facts of a message without decoding it.
#pragma once

#include <optional>

#include "stillpoint/core/bytes.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// The epoch of an observation message (MSM, 1001 to 1004, 1009 to 1012), taken
// nearest to `near`; nothing for other messages and for readings that do not
// exist.
std::optional<GnssTime> peek_epoch(ByteSpan payload, GnssTime near);

// The station id of a message that carries one: observations, station
// messages, texts; nothing for others.
std::optional<int> peek_station_id(ByteSpan payload);

}  // namespace stillpoint::rtcm

// What people write after --frame, --from and --to of a transformation: a frame
// and the epoch of the coordinate, "ITRF2014@2020.48".
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// NAME or NAME@EPOCH. The name is kept as typed, blanks at its ends aside
// (frame_of_label looks it up); the epoch is whatever parse_time takes: a
// decimal year, a date (its beginning, GPST) or a time.
//
//   returns  name, and the epoch where one was written
//   errors   kUsage: no name, an "@" without an epoch, two of them, or an epoch
//            that is not a time
Result<std::pair<std::string, std::optional<GnssTime>>> parse_frame_at(
    std::string_view text);

}  // namespace stillpoint

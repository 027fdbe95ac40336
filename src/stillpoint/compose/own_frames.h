// The frames that the station writes itself. Internal.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/rtcm/station.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::compose {

// 1006 where the height is given, else 1005.
//
//   errors   kOutOfRange with the value that does not fit
Result<std::vector<std::uint8_t>> position_frame(
    const rtcm::StationPosition& position);

// As much of a text as a 1029 can hold: at most 127 characters in 255 bytes,
// cut between characters. What is not UTF-8 and what steers a terminal is
// replaced first.
std::string fitting_text(std::string_view text);

// 1029.
//
//   station_id  0 .. 4095
//   text        of fitting_text()
//   now         its date and second of UTC; a day is sent in the 16 bits of
//               DF051, which begin anew in April 2038
std::vector<std::uint8_t> text_frame(int station_id,
                                     const std::string& text,
                                     GnssTime now);

}  // namespace stillpoint::compose

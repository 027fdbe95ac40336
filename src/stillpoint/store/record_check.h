// What a position record may be, before it is kept for ever. Internal.
#pragma once

#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint {

//   errors   as PositionRecords::add(), kIo aside
Status check_record(const PositionRecord& record);

// Who did something, for tables of their own: one line of 1 to 200 bytes.
//
//   what     "on whose behalf", for the error
//   errors   kOutOfRange
Status check_line(std::string_view text,
                  std::string_view what,
                  std::size_t most_bytes);

inline constexpr std::size_t kMostByBytes = 200;
inline constexpr std::size_t kMostWhyBytes = 500;

}  // namespace stillpoint

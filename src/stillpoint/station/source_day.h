// The day that a source names for its data.
#pragma once

#include <optional>

#include "stillpoint/net/source_address.h"
#include "stillpoint/time/gnss_time.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {

// The middle of that day; nothing where it names none.
inline std::optional<GnssTime> day_of(const net::SourceAddress& address) {
  constexpr Duration kHalfDay{43'200};
  if (address.date.empty()) {
    return std::nullopt;
  }
  const auto day = parse_time(address.date);
  return day ? std::optional<GnssTime>(*day + kHalfDay) : std::nullopt;
}

}  // namespace stillpoint::station

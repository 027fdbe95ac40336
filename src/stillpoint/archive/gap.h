// Bytes of the stream that are not in the archive, and why.
#pragma once

#include <cstdint>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

enum class GapReason : std::uint16_t {  // stored; never renumber
  kDropped = 1,      // memory was full while the card took no bytes
  kDamaged = 2,      // a block that cannot be read
  kMissing = 3,      // a segment, or the end of one, is not there
  kInterrupted = 4,  // the program did not run; from = to, no byte has a number
};

// Bytes [from, to) of the stream, received between two times.
struct Gap {
  std::uint64_t from = 0, to = 0;
  GnssTime last_before, first_after;
  GapReason reason = GapReason::kMissing;
  friend bool operator==(const Gap&, const Gap&) = default;
};

}  // namespace stillpoint::archive

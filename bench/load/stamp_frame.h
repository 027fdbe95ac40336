// RTCM 3 frames that carry the time at which they were sent.
//
// Message number 100, of those that the standard leaves for experiments (from
// memory), then a number that runs and the time; the rest is filling. To a
// station it is a frame of a type it does not know, with a good CRC.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "stillpoint/core/bytes.h"

namespace stillpoint::bench {

struct Stamp {
  std::uint32_t number = 0;
  std::int64_t sent_ns = 0;  // CLOCK_REALTIME, as the system stamps packets
};

inline constexpr std::size_t kLeastFrame = 32;
inline constexpr std::size_t kMostFrame = 1029;

// A whole frame of `bytes`, kLeastFrame .. kMostFrame.
std::string make_stamp_frame(const Stamp& stamp, std::size_t bytes);

// The length of the frame that begins here; nothing if none does. At least
// three bytes are given.
std::optional<std::size_t> frame_length(ByteSpan bytes);

// Of one whole frame; nothing if it is another or its CRC is wrong.
std::optional<Stamp> read_stamp(ByteSpan frame);

std::int64_t realtime_ns();

}  // namespace stillpoint::bench

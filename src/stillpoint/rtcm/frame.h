// The RTCM 3 frame around a payload, and what the standard calls the messages.
//
//   source   RTCM 10403.x, transport layer: D3, six zero bits, ten bits of
//            length, payload, CRC-24Q over all before it
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/core/bytes.h"

namespace stillpoint::rtcm {

inline constexpr std::uint8_t kPreamble = 0xD3;
inline constexpr std::size_t kFrameOverhead = 6;
inline constexpr std::size_t kMaxFrame = 1029;

// The payload of a whole frame; the caller has checked the CRC (the splitter
// does). Empty for fewer than six bytes.
ByteSpan payload_of(ByteSpan frame);

// True for one whole frame with a good CRC and nothing behind it.
bool is_good_frame(ByteSpan frame);

// The message number; nothing for a payload of fewer than twelve bits.
std::optional<int> message_type(ByteSpan payload);

// Frame around a payload of at most 1023 bytes (more: STILLPOINT_CHECK).
std::vector<std::uint8_t> make_frame(ByteSpan payload);

}  // namespace stillpoint::rtcm

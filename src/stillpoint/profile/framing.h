// How a maker's packets are framed in a byte stream: from the [[framing]]
// tables of a receiver profile (docs/receivers.md).
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/profile/checksum.h"

namespace stillpoint::profile {

struct MakerFraming {
  std::string name;                // for counts and messages
  std::vector<std::uint8_t> sync;  // 1 .. 8 bytes
  // Where the length stands, counted from the packet's first byte, how many
  // bytes (1, 2, 4) and in which order.
  std::size_t length_offset = 0, length_bytes = 2;
  bool length_little_endian = true;
  // Whole packet = length field's value + this many bytes.
  std::size_t length_adds = 0;
  ChecksumRule checksum = ChecksumRule::kNone;
  std::uint32_t checksum_start = 0;
  // First byte that the checksum covers; it ends where the checksum starts,
  // and the checksum ends the packet.
  std::size_t checksum_from = 0;
  bool checksum_little_endian = true;
  std::size_t longest = 4096;  // whole packet, at most 65535 bytes
};

// Its checksum by itself.
Checksum checksum_of(const MakerFraming& framing);

// What stands before the first byte that may be missing: sync, length, and the
// bytes up to the one where the checksum begins to count.
std::size_t header_bytes(const MakerFraming& framing);

// What makes a framing unusable: the key of the value that is wrong, what is
// allowed and how to put it right. Nothing for a framing that holds together.
struct FramingMistake {
  std::string key, what, remedy;
};
std::optional<FramingMistake> find_mistake(const MakerFraming& framing);

// The framings of a profile, whose steps must be right too: profile.h.
Result<std::vector<MakerFraming>> parse_framings(std::string_view toml,
                                                 std::string_view name);

}  // namespace stillpoint::profile

// How a maker's packets are framed in a byte stream: from the [framing] tables
// of a receiver profile (docs/receivers.md).
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::profile {

enum class ChecksumRule : std::uint8_t {
  kNone,
  kXor,        // one byte, exclusive or
  kFletcher8,  // two bytes: the sum, then the sum of sums, modulo 256
  kCrc16,      // CRC-16-CCITT; start value in `checksum_start`
  kCrc24q,
  kCrc32,
};

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

// Bytes that a checksum takes at the end of a packet: 0 .. 4.
std::size_t checksum_bytes(ChecksumRule rule);

// What stands before the first byte that may be missing: sync, length, and the
// bytes up to the one where the checksum begins to count.
std::size_t header_bytes(const MakerFraming& framing);

// What makes a framing unusable: the key of the value that is wrong, what is
// allowed and how to put it right. Nothing for a framing that holds together.
struct FramingMistake {
  std::string key, what, remedy;
};
std::optional<FramingMistake> find_mistake(const MakerFraming& framing);

// The framings of a profile (TOML text of at most 64 KiB). A profile without
// any is valid.
//
//   name     what stands in front of line and column, e.g. the file's name
//   errors   kConfig: all mistakes, a line each, with "name:line:column", the
//            value, what is allowed and what to write; where and remedy are
//            those of the first
Result<std::vector<MakerFraming>> parse_framings(std::string_view toml,
                                                 std::string_view name);

}  // namespace stillpoint::profile

// The checksums that packets end with (docs/receivers.md), computed and
// appended.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "stillpoint/core/bytes.h"

namespace stillpoint::profile {

enum class ChecksumRule : std::uint8_t {
  kNone,
  kXor,        // one byte, exclusive or
  kFletcher8,  // two bytes: the sum, then the sum of sums, modulo 256
  kCrc16,      // CRC-16-CCITT with a start value to choose
  kCrc24q,
  kCrc32,
};

// A rule with all that it depends on.
struct Checksum {
  ChecksumRule rule = ChecksumRule::kNone;
  std::uint32_t start = 0;    // kCrc16
  std::size_t from = 0;       // first byte that is covered
  bool little_endian = true;  // CRCs; fletcher8 has an order of its own
};

// Bytes that a checksum takes at the end of a packet: 0 .. 4.
std::size_t checksum_bytes(ChecksumRule rule);

// The checksum over bytes that are all covered, as a number whose first byte
// on the wire is the highest for kFletcher8.
std::uint32_t checksum_value(const Checksum& checksum, ByteSpan covered);

// '*' and two hex digits stand for this exclusive or (NMEA 0183).
std::uint8_t exclusive_or(ByteSpan bytes);

// Appends the checksum to a packet that is whole but for it and at least
// `from` bytes long.
void append_checksum(const Checksum& checksum,
                     std::vector<std::uint8_t>& packet);

}  // namespace stillpoint::profile

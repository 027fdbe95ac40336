#include "stillpoint/profile/checksum.h"

#include "stillpoint/core/crc.h"

namespace stillpoint::profile {
namespace {

// Two bytes, the sum first.
std::uint32_t fletcher8(ByteSpan bytes) {
  std::uint32_t sum = 0;
  std::uint32_t sum_of_sums = 0;
  for (const std::uint8_t byte : bytes) {
    sum += byte;
    sum_of_sums += sum;
  }
  return (sum & 0xFFU) << 8 | (sum_of_sums & 0xFFU);
}

}  // namespace

std::size_t checksum_bytes(ChecksumRule rule) {
  switch (rule) {
    case ChecksumRule::kNone:
      return 0;
    case ChecksumRule::kXor:
      return 1;
    case ChecksumRule::kFletcher8:
    case ChecksumRule::kCrc16:
      return 2;
    case ChecksumRule::kCrc24q:
      return 3;
    case ChecksumRule::kCrc32:
      return 4;
  }
  return 0;
}

std::uint8_t exclusive_or(ByteSpan bytes) {
  std::uint8_t sum = 0;
  for (const std::uint8_t byte : bytes) {
    sum ^= byte;
  }
  return sum;
}

std::uint32_t checksum_value(const Checksum& checksum, ByteSpan covered) {
  switch (checksum.rule) {
    case ChecksumRule::kNone:
      return 0;
    case ChecksumRule::kXor:
      return exclusive_or(covered);
    case ChecksumRule::kFletcher8:
      return fletcher8(covered);
    case ChecksumRule::kCrc16:
      return crc16_ccitt(covered, static_cast<std::uint16_t>(checksum.start));
    case ChecksumRule::kCrc24q:
      return crc24q(covered);
    case ChecksumRule::kCrc32:
      return crc32(covered);
  }
  return 0;
}

void append_checksum(const Checksum& checksum,
                     std::vector<std::uint8_t>& packet) {
  const std::size_t size = checksum_bytes(checksum.rule);
  const std::uint32_t value =
      checksum_value(checksum, ByteSpan(packet).subspan(checksum.from));
  const bool low_first =
      checksum.little_endian && checksum.rule != ChecksumRule::kFletcher8;
  for (std::size_t i = 0; i < size; ++i) {
    const std::size_t shift = 8 * (low_first ? i : size - 1 - i);
    packet.push_back(static_cast<std::uint8_t>(value >> shift));
  }
}

}  // namespace stillpoint::profile

#include "stillpoint/profile/framing.h"

#include <algorithm>

namespace stillpoint::profile {
namespace {

constexpr std::size_t kMostSyncBytes = 8;
constexpr std::size_t kMostPacketBytes = 65535;

std::string text(std::uint64_t value) {
  return std::to_string(value);
}

std::uint64_t most_in_field(std::size_t bytes) {
  return bytes >= 4 ? 0xFFFFFFFFU : (std::uint64_t{1} << (8 * bytes)) - 1;
}

std::optional<FramingMistake> mistake_of_length(const MakerFraming& framing) {
  const std::size_t bytes = framing.length_bytes;
  if (bytes != 1 && bytes != 2 && bytes != 4) {
    return FramingMistake{
        "length_bytes",
        text(bytes) + " bytes of length; allowed are 1, 2 and 4",
        "give the size of the length field as the manual draws it"};
  }
  if (framing.length_offset < framing.sync.size() ||
      framing.length_offset > kMostPacketBytes) {
    return FramingMistake{
        "length_offset",
        text(framing.length_offset) + "; the sync takes the bytes before " +
            text(framing.sync.size()) + ", so the length stands at " +
            text(framing.sync.size()) + " or behind",
        "count from the packet's first byte, which is number 0"};
  }
  return std::nullopt;
}

std::optional<FramingMistake> mistake_of_checksum(const MakerFraming& framing) {
  if (framing.checksum == ChecksumRule::kNone && framing.checksum_from != 0) {
    return FramingMistake{"checksum_from",
                          text(framing.checksum_from) +
                              "; there is no checksum that could begin there",
                          "leave it out, or name the checksum"};
  }
  const bool has_start = framing.checksum == ChecksumRule::kCrc16;
  if (!has_start && framing.checksum_start != 0) {
    return FramingMistake{"checksum_start",
                          text(framing.checksum_start) +
                              "; only crc16 has a start value to choose",
                          "leave it out"};
  }
  if (framing.checksum_start > 0xFFFFU) {
    return FramingMistake{
        "checksum_start",
        text(framing.checksum_start) + "; allowed are 0 .. 65535 (0xFFFF)",
        "give the 16 bits that the manual starts from, mostly 0 or 0xFFFF"};
  }
  return std::nullopt;
}

std::optional<FramingMistake> mistake_of_size(const MakerFraming& framing) {
  const std::size_t checksum = checksum_bytes(framing.checksum);
  const std::size_t length_end = framing.length_offset + framing.length_bytes;
  if (framing.checksum_from > length_end &&
      (framing.checksum_from > kMostPacketBytes ||
       framing.checksum_from + checksum > framing.longest)) {
    return FramingMistake{
        "checksum_from",
        text(framing.checksum_from) + "; that is outside the longest packet (" +
            text(framing.longest) + " bytes, " + text(checksum) +
            " of them the checksum)",
        "count from the packet's first byte, which is number 0"};
  }
  const std::size_t shortest = header_bytes(framing) + checksum;
  if (framing.longest < shortest || framing.longest > kMostPacketBytes) {
    return FramingMistake{
        "longest",
        text(framing.longest) + " bytes; allowed are " + text(shortest) +
            " (header and checksum) .. " + text(kMostPacketBytes),
        "give the size of the longest packet that the manual knows"};
  }
  if (framing.length_adds > framing.longest) {
    return FramingMistake{
        "length_adds",
        text(framing.length_adds) + "; every packet would be beyond longest (" +
            text(framing.longest) + ")",
        "give the bytes of a packet that its length field does not count"};
  }
  if (most_in_field(framing.length_bytes) + framing.length_adds < shortest) {
    return FramingMistake{
        "length_adds",
        text(framing.length_adds) + "; with " + text(framing.length_bytes) +
            " byte of length no packet could hold its header and checksum (" +
            text(shortest) + " bytes)",
        "give the bytes of a packet that its length field does not count"};
  }
  return std::nullopt;
}

}  // namespace

Checksum checksum_of(const MakerFraming& framing) {
  return {.rule = framing.checksum,
          .start = framing.checksum_start,
          .from = framing.checksum_from,
          .little_endian = framing.checksum_little_endian};
}

std::size_t header_bytes(const MakerFraming& framing) {
  return std::max(framing.length_offset + framing.length_bytes,
                  framing.checksum_from);
}

std::optional<FramingMistake> find_mistake(const MakerFraming& framing) {
  if (framing.name.empty()) {
    return FramingMistake{"name", "empty", "give a short name for the counts"};
  }
  if (framing.sync.empty() || framing.sync.size() > kMostSyncBytes) {
    return FramingMistake{
        "sync",
        text(framing.sync.size()) + " bytes; allowed are 1 .. " +
            text(kMostSyncBytes),
        "give the bytes that every packet begins with, such as \"9E C4\""};
  }
  auto mistake = mistake_of_length(framing);
  if (!mistake) {
    mistake = mistake_of_checksum(framing);
  }
  if (!mistake) {
    mistake = mistake_of_size(framing);
  }
  return mistake;
}

}  // namespace stillpoint::profile

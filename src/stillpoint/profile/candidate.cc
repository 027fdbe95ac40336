#include "stillpoint/profile/candidate.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <optional>

#include "stillpoint/core/crc.h"

namespace stillpoint::profile {
namespace {

using Is = Verdict::Is;

constexpr std::array<bool, 256> make_sentence_bytes() {
  std::array<bool, 256> table{};
  for (std::size_t c = 0x20; c <= 0x7E; ++c) {
    table[c] = c != '$' && c != '!' && c != '*';
  }
  return table;
}

// What may stand between the start of a sentence and its '*'.
constexpr std::array<bool, 256> kSentenceBytes = make_sentence_bytes();

std::optional<std::uint8_t> hex_digit(std::uint8_t c) {
  if (c >= '0' && c <= '9') {
    return static_cast<std::uint8_t>(c - '0');
  }
  const auto upper = static_cast<std::uint8_t>(c & ~0x20U);
  if (upper >= 'A' && upper <= 'F') {
    return static_cast<std::uint8_t>(upper - 'A' + 10);
  }
  return std::nullopt;
}

// From '*' to the line end.
Verdict look_at_sentence_end(ByteSpan at, std::size_t star) {
  std::uint8_t told = 0;
  for (std::size_t i = star + 1; i < star + 3; ++i) {
    if (i >= at.size()) {
      return {Is::kUnfinished, i + 1};
    }
    const auto digit = hex_digit(at[i]);
    if (!digit) {
      return {};
    }
    told = static_cast<std::uint8_t>(told << 4 | *digit);
  }
  std::size_t last = star + 3;
  if (last < at.size() && at[last] == '\r') {
    ++last;
  }
  if (last >= kNmeaLongest) {
    return {};
  }
  if (last >= at.size()) {
    return {Is::kUnfinished, last + 1};
  }
  if (at[last] != '\n') {
    return {};
  }
  const bool good = exclusive_or(at.subspan(1, star - 1)) == told;
  return {good ? Is::kGood : Is::kBad, last + 1};
}

std::uint64_t read_number(ByteSpan bytes, bool little_endian) {
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    value = value << 8 | bytes[little_endian ? bytes.size() - 1 - i : i];
  }
  return value;
}

// Which RTCM frames that start inside a good packet show that it was a false
// start. In a stream that goes on for years a checksum of 8 bits is right by
// chance every day and one of 16 bits now and then; a CRC of 24 bits at a start
// is not. A packet of 16 bits may carry a frame in it, so it loses only to one
// that it cannot carry.
enum class Rival : std::uint8_t { kNone, kAny, kReachingBeyond };

Rival rival_of(ChecksumRule rule) {
  switch (rule) {
    case ChecksumRule::kNone:
    case ChecksumRule::kXor:
      return Rival::kAny;
    case ChecksumRule::kFletcher8:
    case ChecksumRule::kCrc16:
      return Rival::kReachingBeyond;
    case ChecksumRule::kCrc24q:
    case ChecksumRule::kCrc32:
      return Rival::kNone;
  }
  return Rival::kNone;
}

// A packet of `size` bytes with a good checksum: does it stand?
Verdict look_inside(Rival rival,
                    ByteSpan at,
                    std::size_t size,
                    bool ended,
                    std::size_t& resume) {
  for (std::size_t i = resume; i < size; ++i) {
    const void* found = std::memchr(at.data() + i, kRtcmStart, size - i);
    if (found == nullptr) {
      break;
    }
    i = static_cast<std::size_t>(static_cast<const std::uint8_t*>(found) -
                                 at.data());
    resume = i;
    const ByteSpan inner = at.subspan(i);
    // Its length is enough to know that it ends inside.
    const std::optional<std::uint16_t> head = load_be<std::uint16_t>(inner, 1);
    if (rival == Rival::kReachingBeyond && head && (*head & 0xFC00U) == 0 &&
        i + *head + kRtcmOverhead <= size) {
      continue;
    }
    const Verdict verdict = look_at_rtcm(inner);
    if (verdict.is == Is::kGood) {
      return {};
    }
    if (verdict.is == Is::kUnfinished && !ended) {
      return {Is::kUnfinished, i + verdict.size};
    }
  }
  return {Is::kGood, size};
}

}  // namespace

Verdict look_at_rtcm(ByteSpan at) {
  if (at.size() < 2) {
    return {Is::kUnfinished, 2};
  }
  if ((at[1] & 0xFCU) != 0) {
    return {};
  }
  if (at.size() < 3) {
    return {Is::kUnfinished, 3};
  }
  const std::size_t size = (std::size_t{at[1]} << 8 | at[2]) + kRtcmOverhead;
  if (at.size() < size) {
    return {Is::kUnfinished, size};
  }
  // The CRC of bytes followed by their CRC is 0.
  return {crc24q(at.first(size)) == 0 ? Is::kGood : Is::kBad, size};
}

Verdict look_at_nmea(ByteSpan at, std::size_t& resume) {
  const std::size_t end = std::min(at.size(), kNmeaLongest);
  std::size_t i = std::max<std::size_t>(resume, 1);
  while (i < end && kSentenceBytes[at[i]]) {
    ++i;
  }
  resume = i;
  if (i == kNmeaLongest) {
    return {};
  }
  if (i == at.size()) {
    return {Is::kUnfinished, i + 1};
  }
  return at[i] == '*' ? look_at_sentence_end(at, i) : Verdict{};
}

Verdict look_at_packet(const MakerFraming& framing,
                       ByteSpan at,
                       bool ended,
                       std::size_t& resume) {
  const std::size_t known = std::min(at.size(), framing.sync.size());
  if (!std::equal(at.begin(),
                  at.begin() + static_cast<std::ptrdiff_t>(known),
                  framing.sync.begin())) {
    return {};
  }
  if (known < framing.sync.size()) {
    return {Is::kUnfinished, known + 1};
  }
  const std::size_t length_end = framing.length_offset + framing.length_bytes;
  if (at.size() < length_end) {
    return {Is::kUnfinished, length_end};
  }
  const std::uint64_t told =
      read_number(at.subspan(framing.length_offset, framing.length_bytes),
                  framing.length_little_endian) +
      framing.length_adds;
  if (told > framing.longest ||
      told < header_bytes(framing) + checksum_bytes(framing.checksum)) {
    return {};
  }
  const auto size = static_cast<std::size_t>(told);
  if (at.size() < size) {
    return {Is::kUnfinished, size};
  }
  // Beyond 0 the checksum has been found good.
  if (resume == 0) {
    if (!has_good_checksum(framing, at.first(size))) {
      return {Is::kBad, size};
    }
    resume = 1;
  }
  const Rival rival = rival_of(framing.checksum);
  return rival == Rival::kNone ? Verdict{Is::kGood, size}
                               : look_inside(rival, at, size, ended, resume);
}

std::size_t longest_look(const MakerFraming& framing) {
  const bool beyond = rival_of(framing.checksum) != Rival::kNone;
  return framing.longest + (beyond ? kRtcmLongest : 0);
}

bool has_good_checksum(const MakerFraming& framing, ByteSpan packet) {
  if (framing.checksum == ChecksumRule::kNone) {
    return true;
  }
  const Checksum checksum = checksum_of(framing);
  const std::size_t end = packet.size() - checksum_bytes(checksum.rule);
  const ByteSpan covered = packet.subspan(checksum.from, end - checksum.from);
  const bool low_first =
      checksum.little_endian && checksum.rule != ChecksumRule::kFletcher8;
  return read_number(packet.subspan(end), low_first) ==
         checksum_value(checksum, covered);
}

}  // namespace stillpoint::profile

// The other splitter, and the checksums that it and the builders of streams
// compute one bit at a time.
#include <algorithm>
#include <optional>
#include <string>

#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile::test {
namespace {

// Most significant bit first.
std::uint32_t crc_by_bits(const Bytes& bytes,
                          unsigned width,
                          std::uint32_t polynomial,
                          std::uint32_t start) {
  std::uint32_t crc = start;
  for (const std::uint8_t byte : bytes) {
    for (unsigned bit = 8; bit-- > 0;) {
      const bool in = (byte >> bit & 1U) != 0;
      const bool out = (crc >> (width - 1) & 1U) != 0;
      crc <<= 1;
      crc ^= in != out ? polynomial : 0;
      crc &= (1U << width) - 1;
    }
  }
  return crc;
}

std::uint32_t crc32_by_bits(const Bytes& bytes) {
  std::uint32_t crc = 0xFFFFFFFFU;
  for (const std::uint8_t byte : bytes) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      const bool one =
          ((crc ^ static_cast<std::uint32_t>(byte >> bit)) & 1U) != 0;
      crc = (crc >> 1) ^ (one ? 0xEDB88320U : 0);
    }
  }
  return ~crc;
}

// The bytes that a number makes, least significant first.
Bytes bytes_of(std::uint64_t value, std::size_t count, bool little_endian) {
  Bytes bytes;
  for (std::size_t i = 0; i < count; ++i) {
    bytes.push_back(static_cast<std::uint8_t>(value >> (8 * i) & 0xFFU));
  }
  if (!little_endian) {
    std::reverse(bytes.begin(), bytes.end());
  }
  return bytes;
}

Bytes checksum_of(const MakerFraming& framing, const Bytes& covered) {
  const bool little = framing.checksum_little_endian;
  unsigned one = 0;
  unsigned two = 0;
  switch (framing.checksum) {
    case ChecksumRule::kNone:
      return {};
    case ChecksumRule::kXor:
      for (const std::uint8_t byte : covered) {
        one ^= byte;
      }
      return {static_cast<std::uint8_t>(one)};
    case ChecksumRule::kFletcher8:
      for (const std::uint8_t byte : covered) {
        one = (one + byte) % 256;
        two = (two + one) % 256;
      }
      return {static_cast<std::uint8_t>(one), static_cast<std::uint8_t>(two)};
    case ChecksumRule::kCrc16:
      return bytes_of(
          crc_by_bits(covered, 16, 0x1021, framing.checksum_start), 2, little);
    case ChecksumRule::kCrc24q:
      return bytes_of(crc_by_bits(covered, 24, 0x864CFB, 0), 3, little);
    case ChecksumRule::kCrc32:
      return bytes_of(crc32_by_bits(covered), 4, little);
  }
  return {};
}

class Reference {
 public:
  Reference(const Bytes& stream, const std::vector<MakerFraming>& makers)
      : stream_(stream), makers_(makers) {}

  Outcome run() {
    outcome_.counts.bytes = stream_.size();
    std::size_t at = 0;
    while (at < stream_.size()) {
      at += frame_at(at);
    }
    return outcome_;
  }

 private:
  [[nodiscard]] bool has(std::size_t from, std::size_t count) const {
    return from + count <= stream_.size();
  }
  [[nodiscard]] Bytes cut(std::size_t from, std::size_t count) const {
    return {stream_.begin() + static_cast<std::ptrdiff_t>(from),
            stream_.begin() + static_cast<std::ptrdiff_t>(from + count)};
  }

  // The size of a whole RTCM frame there, good or bad.
  [[nodiscard]] std::optional<std::size_t> rtcm_size(std::size_t at) const {
    if (!has(at, 3) || stream_[at] != 0xD3 || stream_[at + 1] > 3) {
      return std::nullopt;
    }
    const std::size_t size = stream_[at + 1] * 256U + stream_[at + 2] + 6U;
    return has(at, size) ? std::optional(size) : std::nullopt;
  }
  [[nodiscard]] bool rtcm_good(std::size_t at, std::size_t size) const {
    return bytes_of(crc_by_bits(cut(at, size - 3), 24, 0x864CFB, 0),
                    3,
                    false) == cut(at + size - 3, 3);
  }

  [[nodiscard]] std::optional<std::string> sentence_at(std::size_t at) const {
    if (stream_[at] != '$' && stream_[at] != '!') {
      return std::nullopt;
    }
    const auto begin = stream_.begin() + static_cast<std::ptrdiff_t>(at);
    const auto line_end = std::find(begin, stream_.end(), '\n');
    if (line_end == stream_.end() || line_end - begin >= 512) {
      return std::nullopt;
    }
    // From the end: line feed, perhaps a return, two digits, a star.
    const std::string line(begin, line_end + 1);
    std::string rest = line.substr(1, line.size() - 2);
    if (!rest.empty() && rest.back() == '\r') {
      rest.pop_back();
    }
    if (rest.size() < 3 || rest[rest.size() - 3] != '*' ||
        rest.find_first_not_of("0123456789abcdefABCDEF", rest.size() - 2) !=
            std::string::npos) {
      return std::nullopt;
    }
    rest.resize(rest.size() - 3);
    const bool plain = std::all_of(rest.begin(), rest.end(), [](char c) {
      return c >= 32 && c < 127 && c != '$' && c != '!' && c != '*';
    });
    return plain ? std::optional(line) : std::nullopt;
  }
  static bool sentence_good(const std::string& line) {
    const std::size_t star = line.find('*');
    unsigned sum = 0;
    for (std::size_t i = 1; i < star; ++i) {
      sum ^= static_cast<std::uint8_t>(line[i]);
    }
    return std::stoul(line.substr(star + 1, 2), nullptr, 16) == sum;
  }

  [[nodiscard]] std::optional<std::size_t> packet_size(
      const MakerFraming& framing, std::size_t at) const {
    const std::size_t header = framing.length_offset + framing.length_bytes;
    if (!has(at, header) || cut(at, framing.sync.size()) != framing.sync) {
      return std::nullopt;
    }
    Bytes field = cut(at + framing.length_offset, framing.length_bytes);
    if (framing.length_little_endian) {
      std::reverse(field.begin(), field.end());
    }
    std::size_t size = 0;
    for (const std::uint8_t byte : field) {
      size = size * 256 + byte;
    }
    size += framing.length_adds;
    const std::size_t least = std::max(header, framing.checksum_from) +
                              checksum_of(framing, {}).size();
    if (size < least || size > framing.longest || !has(at, size)) {
      return std::nullopt;
    }
    return size;
  }
  [[nodiscard]] bool packet_good(const MakerFraming& framing,
                                 std::size_t at,
                                 std::size_t size) const {
    const std::size_t tail = checksum_of(framing, {}).size();
    const Bytes covered =
        cut(at + framing.checksum_from, size - tail - framing.checksum_from);
    return checksum_of(framing, covered) == cut(at + size - tail, tail);
  }
  [[nodiscard]] bool packet_stands(const MakerFraming& framing,
                                   std::size_t at,
                                   std::size_t size) const {
    const std::size_t tail = checksum_of(framing, {}).size();
    for (std::size_t inner = at + 1; tail <= 2 && inner < at + size; ++inner) {
      const auto frame = rtcm_size(inner);
      if (frame && rtcm_good(inner, *frame) &&
          (tail < 2 || inner + *frame > at + size)) {
        return false;
      }
    }
    return true;
  }

  // Bytes to go on: a good frame's size, else 1.
  std::size_t frame_at(std::size_t at) {
    std::size_t bad = 0;
    if (const auto size = rtcm_size(at)) {
      if (rtcm_good(at, *size)) {
        return take(FrameKind::kRtcm, at, *size, 0);
      }
      ++bad;
    }
    if (const auto line = sentence_at(at)) {
      if (sentence_good(*line)) {
        return take(FrameKind::kNmea, at, line->size(), 0);
      }
      ++bad;
    }
    for (std::size_t i = 0; i < makers_.size(); ++i) {
      const auto size = packet_size(makers_[i], at);
      if (size && !packet_good(makers_[i], at, *size)) {
        ++bad;
      } else if (size && packet_stands(makers_[i], at, *size)) {
        return take(FrameKind::kMaker, at, *size, i);
      }
    }
    outcome_.counts.bad_checksum += bad;
    ++outcome_.counts.skipped_bytes;
    return 1;
  }
  std::size_t take(FrameKind kind,
                   std::size_t at,
                   std::size_t size,
                   std::size_t framing) {
    outcome_.frames.push_back({kind, cut(at, size), at, framing});
    ++outcome_.counts.frames[static_cast<std::size_t>(kind)];
    return size;
  }

  const Bytes& stream_;
  const std::vector<MakerFraming>& makers_;
  Outcome outcome_;
};

}  // namespace

Bytes rtcm_frame(const Bytes& payload) {
  Bytes frame = joined({{0xD3}, bytes_of(payload.size(), 2, false), payload});
  return joined(
      {frame, bytes_of(crc_by_bits(frame, 24, 0x864CFB, 0), 3, false)});
}

Bytes sentence(std::string_view body) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::uint8_t sum = 0;
  for (const char c : body) {
    sum = static_cast<std::uint8_t>(sum ^ static_cast<std::uint8_t>(c));
  }
  return from_text("$" + std::string(body) + "*" + kDigits[sum / 16U] +
                   kDigits[sum % 16U] + "\r\n");
}

Bytes packet(const MakerFraming& framing, const Bytes& payload) {
  Bytes bytes = framing.sync;
  bytes.resize(framing.length_offset);
  const std::size_t header = std::max(
      framing.length_offset + framing.length_bytes, framing.checksum_from);
  const std::size_t size =
      header + payload.size() + checksum_of(framing, {}).size();
  bytes = joined({bytes,
                  bytes_of(size - framing.length_adds,
                           framing.length_bytes,
                           framing.length_little_endian)});
  bytes.resize(header);
  bytes = joined({bytes, payload});
  const Bytes covered(
      bytes.begin() + static_cast<std::ptrdiff_t>(framing.checksum_from),
      bytes.end());
  return joined({bytes, checksum_of(framing, covered)});
}

Outcome reference(const Bytes& stream,
                  const std::vector<MakerFraming>& makers) {
  return Reference(stream, makers).run();
}

}  // namespace stillpoint::profile::test

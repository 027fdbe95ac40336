#include "load/stamp_frame.h"

#include <algorithm>
#include <ctime>

#include "stillpoint/core/crc.h"

namespace stillpoint::bench {
namespace {

constexpr std::size_t kHead = 3;
constexpr std::size_t kCrc = 3;
constexpr unsigned kType = 100;
constexpr std::size_t kNumberAt = kHead + 2;
constexpr std::size_t kTimeAt = kNumberAt + 4;

std::uint64_t read_big(ByteSpan bytes) {
  std::uint64_t value = 0;
  for (const std::uint8_t byte : bytes) {
    value = value << 8 | byte;
  }
  return value;
}

void write_big(std::string& text,
               std::size_t at,
               std::size_t bytes,
               std::uint64_t value) {
  for (std::size_t i = bytes; i-- > 0; value >>= 8) {
    text[at + i] = static_cast<char>(value & 0xFF);
  }
}

ByteSpan bytes_of(const std::string& text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

}  // namespace

std::string make_stamp_frame(const Stamp& stamp, std::size_t bytes) {
  const std::size_t size = std::clamp(bytes, kLeastFrame, kMostFrame);
  std::string frame(size, '\x5A');
  write_big(frame, 0, kHead, std::uint64_t{0xD3} << 16 | (size - kHead - kCrc));
  write_big(frame, kHead, 2, kType << 4);
  write_big(frame, kNumberAt, 4, stamp.number);
  write_big(frame, kTimeAt, 8, static_cast<std::uint64_t>(stamp.sent_ns));
  const std::uint32_t crc = crc24q(bytes_of(frame).first(size - kCrc));
  write_big(frame, size - kCrc, kCrc, crc);
  return frame;
}

std::optional<std::size_t> frame_length(ByteSpan bytes) {
  if (bytes[0] != 0xD3 || (bytes[1] & 0xFC) != 0) {
    return std::nullopt;
  }
  return kHead + kCrc +
         static_cast<std::size_t>(read_big(bytes.subspan(1, 2)) & 0x3FF);
}

std::optional<Stamp> read_stamp(ByteSpan frame) {
  if (frame.size() < kLeastFrame ||
      read_big(frame.subspan(kHead, 2)) >> 4 != kType ||
      crc24q(frame) != 0) {  // the CRC of a text with its CRC is nothing
    return std::nullopt;
  }
  Stamp stamp;
  stamp.number =
      static_cast<std::uint32_t>(read_big(frame.subspan(kNumberAt, 4)));
  stamp.sent_ns =
      static_cast<std::int64_t>(read_big(frame.subspan(kTimeAt, 8)));
  return stamp;
}

std::int64_t realtime_ns() {
  timespec time{};
  ::clock_gettime(CLOCK_REALTIME, &time);
  return std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec;
}

}  // namespace stillpoint::bench

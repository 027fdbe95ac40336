// Bit fields over bytes, most significant bit first, as in RTCM 3 and the
// broadcast messages. Going past the end is no error at once: reads give 0 and
// ok() turns false for good, so that a decoder checks once per message.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/check.h"

namespace stillpoint {

class BitReader {
 public:
  explicit BitReader(ByteSpan bytes)
      : bytes_(bytes), size_bits_(bytes.size() * 8) {}

  // False once a read or skip went past the end.
  [[nodiscard]] bool ok() const { return ok_; }
  [[nodiscard]] std::size_t position_bits() const { return at_; }
  [[nodiscard]] std::size_t remaining_bits() const { return size_bits_ - at_; }

  // Unsigned field of 0 .. 64 bits.
  std::uint64_t u(unsigned bits) {
    STILLPOINT_CHECK(bits <= 64);
    if (bits == 0 || !take(bits)) {
      return 0;
    }
    const std::size_t start = at_ - bits;
    return window(start / 8, static_cast<unsigned>(start % 8)) >> (64 - bits);
  }
  // Two's complement field of 0 .. 64 bits.
  std::int64_t s(unsigned bits) {
    const std::uint64_t value = u(bits);
    if (bits == 0) {
      return 0;
    }
    const unsigned spare = 64 - bits;
    return static_cast<std::int64_t>(value << spare) >> spare;
  }
  // Sign bit and magnitude (GLONASS), 1 .. 64 bits; minus zero reads as 0.
  std::int64_t sign_magnitude(unsigned bits) {
    STILLPOINT_CHECK(bits >= 1);
    const std::uint64_t value = u(bits);
    const std::uint64_t sign = std::uint64_t{1} << (bits - 1);
    const auto magnitude = static_cast<std::int64_t>(value & (sign - 1));
    return (value & sign) != 0 ? -magnitude : magnitude;
  }
  bool flag() { return u(1) != 0; }
  void skip(std::size_t bits) { take(bits); }

 private:
  bool take(std::size_t bits) {
    if (bits > size_bits_ - at_) {
      ok_ = false;
      at_ = size_bits_;
      return false;
    }
    at_ += bits;
    return true;
  }
  // 64 bits from bit `skip` of byte `first` on; zeros after the end.
  [[nodiscard]] std::uint64_t window(std::size_t first, unsigned skip) const {
    if (bytes_.size() - first > 8) {
      const std::uint64_t head =
          detail::load_be_unchecked<std::uint64_t>(bytes_.data() + first);
      const std::uint64_t next = bytes_[first + 8];
      return (head << skip) | (next >> (8 - skip));
    }
    std::uint64_t head = 0;
    for (std::size_t i = first; i < bytes_.size(); ++i) {
      head |= std::uint64_t{bytes_[i]} << (56 - 8 * (i - first));
    }
    return head << skip;
  }

  ByteSpan bytes_;
  std::size_t size_bits_ = 0;
  std::size_t at_ = 0;
  bool ok_ = true;
};

// Writes fields over the bytes it is given; the other bits stay as they are.
// A field without room and a value that its field cannot hold write nothing
// and turn ok() false for good.
class BitWriter {
 public:
  explicit BitWriter(std::span<std::uint8_t> bytes)
      : bytes_(bytes), size_bits_(bytes.size() * 8) {}

  [[nodiscard]] bool ok() const { return ok_; }
  [[nodiscard]] std::size_t position_bits() const { return at_; }
  [[nodiscard]] std::size_t remaining_bits() const { return size_bits_ - at_; }

  // Unsigned field of 0 .. 64 bits.
  void u(std::uint64_t value, unsigned bits) {
    STILLPOINT_CHECK(bits <= 64);
    const bool fits = bits == 64 || value >> bits == 0;
    if (!ok_ || !fits || bits > remaining_bits()) {
      ok_ = false;
      return;
    }
    while (bits > 0) {
      const auto room = static_cast<unsigned>(8 - at_ % 8);
      const unsigned n = bits < room ? bits : room;
      const unsigned mask = ((1U << n) - 1U) << (room - n);
      const auto part = static_cast<unsigned>(value >> (bits - n) & 0xFFU)
                        << (room - n);
      std::uint8_t& byte = bytes_[at_ / 8];
      byte = static_cast<std::uint8_t>((byte & ~mask) | (part & mask));
      at_ += n;
      bits -= n;
    }
  }
  // Two's complement field of 1 .. 64 bits.
  void s(std::int64_t value, unsigned bits) {
    STILLPOINT_CHECK(bits >= 1 && bits <= 64);
    const unsigned spare = 64 - bits;
    const auto raw = static_cast<std::uint64_t>(value) << spare;
    if (static_cast<std::int64_t>(raw) >> spare != value) {
      ok_ = false;
      return;
    }
    u(raw >> spare, bits);
  }
  // Sign bit and magnitude, 1 .. 64 bits.
  void sign_magnitude(std::int64_t value, unsigned bits) {
    STILLPOINT_CHECK(bits >= 1 && bits <= 64);
    const std::uint64_t sign = std::uint64_t{1} << (bits - 1);
    const std::uint64_t magnitude =
        value < 0 ? std::uint64_t{0} - static_cast<std::uint64_t>(value)
                  : static_cast<std::uint64_t>(value);
    if (magnitude >= sign) {
      ok_ = false;
      return;
    }
    u(value < 0 ? magnitude | sign : magnitude, bits);
  }
  void flag(bool value) { u(value ? 1 : 0, 1); }
  // Zeros up to the next whole byte.
  void pad_to_byte() { u(0, static_cast<unsigned>((8 - at_ % 8) % 8)); }

 private:
  std::span<std::uint8_t> bytes_;
  std::size_t size_bits_ = 0;
  std::size_t at_ = 0;
  bool ok_ = true;
};

}  // namespace stillpoint

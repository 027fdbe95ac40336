// One list of fields a message, walked by a reader or a writer, so that both
// directions cannot differ. Integers are kept exactly as they stand on the
// wire; scaling is the business of the mapping layer.
//
//   template <class Io, class Message>
//   void fields(Io& io, Message& m) {
//     io.u(m.station_id, 12);
//     io.s(m.x, 38);
//     io.rest(m.rest);
//   }
#pragma once

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string>
#include <type_traits>
#include <vector>

#include "stillpoint/core/bits.h"

namespace stillpoint::rtcm {

inline constexpr std::size_t kMaxPayload = 1023;

// GLONASS numbers: a sign bit and a magnitude. Minus zero is kept apart, since
// the raw layer gives back the bits it was given.
struct SignMagnitude {
  bool negative = false;
  std::uint32_t magnitude = 0;
  [[nodiscard]] std::int64_t value() const {
    const auto m = static_cast<std::int64_t>(magnitude);
    return negative ? -m : m;
  }
  static SignMagnitude of(std::int64_t value) {
    return {value < 0, static_cast<std::uint32_t>(value < 0 ? -value : value)};
  }
  friend bool operator==(const SignMagnitude&, const SignMagnitude&) = default;
};

// What stands behind the last field: the bits up to the whole byte, and whole
// bytes that a newer edition may have added.
struct Rest {
  std::uint8_t pad = 0;
  std::vector<std::uint8_t> more;
  friend bool operator==(const Rest&, const Rest&) = default;
};

// A field longer than its type is cut to it: give wide enough types.
class FieldReader {
 public:
  explicit FieldReader(ByteSpan payload) : bits_(payload) {}
  [[nodiscard]] bool ok() const { return bits_.ok(); }

  template <class T>
  void u(T& value, unsigned bits) {
    value = static_cast<T>(bits_.u(bits));
  }
  template <std::signed_integral T>
  void s(T& value, unsigned bits) {
    value = static_cast<T>(bits_.s(bits));
  }
  void sm(SignMagnitude& value, unsigned bits) {
    value.negative = bits_.flag();
    value.magnitude = static_cast<std::uint32_t>(bits_.u(bits - 1));
  }
  // `count` items; nothing is reserved that the message cannot hold.
  template <class T, class Each>
  void list(std::vector<T>& items, std::size_t count, Each each) {
    items.clear();
    for (std::size_t i = 0; i < count && bits_.ok(); ++i) {
      each(*this, items.emplace_back());
    }
  }
  // Bytes behind an 8-bit counter, as they are.
  void text(std::string& value) {
    const auto count = static_cast<std::size_t>(bits_.u(8));
    value.clear();
    for (std::size_t i = 0; i < count && bits_.ok(); ++i) {
      value.push_back(static_cast<char>(bits_.u(8)));
    }
  }
  void rest(Rest& rest) {
    const auto pad = static_cast<unsigned>(bits_.remaining_bits() % 8);
    rest.pad = static_cast<std::uint8_t>(bits_.u(pad));
    rest.more.resize(bits_.remaining_bits() / 8);
    for (std::uint8_t& byte : rest.more) {
      byte = static_cast<std::uint8_t>(bits_.u(8));
    }
  }

 private:
  BitReader bits_;
};

class FieldWriter {
 public:
  explicit FieldWriter(std::span<std::uint8_t> payload) : bits_(payload) {}
  // False once a value did not fit its field or the payload its bytes.
  [[nodiscard]] bool ok() const { return bits_.ok(); }
  [[nodiscard]] std::size_t size_bytes() const {
    return (bits_.position_bits() + 7) / 8;
  }

  template <class T>
  void u(const T& value, unsigned bits) {
    bits_.u(static_cast<std::uint64_t>(value), bits);
  }
  template <std::signed_integral T>
  void s(const T& value, unsigned bits) {
    bits_.s(value, bits);
  }
  void sm(const SignMagnitude& value, unsigned bits) {
    bits_.flag(value.negative);
    bits_.u(value.magnitude, bits - 1);
  }
  // The caller's count field has been written: items.size() must be count.
  template <class T, class Each>
  void list(const std::vector<T>& items, std::size_t count, Each each) {
    for (std::size_t i = 0; i < count && i < items.size(); ++i) {
      each(*this, items[i]);
    }
  }
  void text(const std::string& value) {
    bits_.u(value.size(), 8);
    for (const char c : value) {
      bits_.u(static_cast<std::uint8_t>(c), 8);
    }
  }
  void rest(const Rest& rest) {
    bits_.u(rest.pad,
            static_cast<unsigned>((8 - bits_.position_bits() % 8) % 8));
    for (const std::uint8_t byte : rest.more) {
      bits_.u(byte, 8);
    }
  }

 private:
  BitWriter bits_;
};

// Reads a payload into a message; false where it ends before its fields do.
template <class Message>
[[nodiscard]] bool decode_fields(ByteSpan payload, Message& message) {
  FieldReader io(payload);
  fields(io, message);
  return io.ok();
}

// The payload of a message; empty where a value does not fit its field or the
// message is longer than a frame can hold.
template <class Message>
[[nodiscard]] std::vector<std::uint8_t> encode_fields(const Message& message) {
  std::vector<std::uint8_t> payload(kMaxPayload);
  FieldWriter io(payload);
  fields(io, message);
  payload.resize(io.ok() ? io.size_bytes() : 0);
  return payload;
}

}  // namespace stillpoint::rtcm

// Whole numbers in bytes of either order, from and to spans. Nothing here can
// reach outside its span.
#pragma once

#include <bit>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <optional>
#include <span>

namespace stillpoint {

using ByteSpan = std::span<const std::uint8_t>;

namespace detail {

// std::byteswap is C++23; g++ and clang++ both have these.
template <std::unsigned_integral T>
T swapped(T value) {
  if constexpr (sizeof(T) == 8) {
    return __builtin_bswap64(value);
  } else if constexpr (sizeof(T) == 4) {
    return __builtin_bswap32(value);
  } else if constexpr (sizeof(T) == 2) {
    return __builtin_bswap16(value);
  } else {
    return value;
  }
}

// The caller has made sure that sizeof(T) bytes are there. (A loop over bytes
// is not joined to one load by g++ 12 -O2.)
template <std::unsigned_integral T>
T load_be_unchecked(const std::uint8_t* bytes) {
  T value = 0;
  std::memcpy(&value, bytes, sizeof(T));
  return std::endian::native == std::endian::big ? value : swapped(value);
}

template <std::unsigned_integral T>
T load_le_unchecked(const std::uint8_t* bytes) {
  T value = 0;
  std::memcpy(&value, bytes, sizeof(T));
  return std::endian::native == std::endian::little ? value : swapped(value);
}

inline bool inside(std::size_t size, std::size_t offset, std::size_t n) {
  return n <= size && offset <= size - n;
}

}  // namespace detail

// Big-endian (most significant byte first) number at an offset; nothing where
// the span ends before it does.
template <std::unsigned_integral T>
std::optional<T> load_be(ByteSpan bytes, std::size_t offset = 0) {
  if (!detail::inside(bytes.size(), offset, sizeof(T))) {
    return std::nullopt;
  }
  return detail::load_be_unchecked<T>(bytes.data() + offset);
}

// Little-endian number at an offset.
template <std::unsigned_integral T>
std::optional<T> load_le(ByteSpan bytes, std::size_t offset = 0) {
  if (!detail::inside(bytes.size(), offset, sizeof(T))) {
    return std::nullopt;
  }
  return detail::load_le_unchecked<T>(bytes.data() + offset);
}

// Stores; false and nothing written where there is no room.
template <std::unsigned_integral T>
[[nodiscard]] bool store_be(T value,
                            std::span<std::uint8_t> bytes,
                            std::size_t offset = 0) {
  if (!detail::inside(bytes.size(), offset, sizeof(T))) {
    return false;
  }
  for (std::size_t i = 0; i < sizeof(T); ++i) {
    bytes[offset + i] =
        static_cast<std::uint8_t>(value >> (8 * (sizeof(T) - 1 - i)));
  }
  return true;
}

template <std::unsigned_integral T>
[[nodiscard]] bool store_le(T value,
                            std::span<std::uint8_t> bytes,
                            std::size_t offset = 0) {
  if (!detail::inside(bytes.size(), offset, sizeof(T))) {
    return false;
  }
  for (std::size_t i = 0; i < sizeof(T); ++i) {
    bytes[offset + i] = static_cast<std::uint8_t>(value >> (8 * i));
  }
  return true;
}

}  // namespace stillpoint

#include "stillpoint/core/crc.h"

#include <array>

namespace stillpoint {
namespace {

using Table32 = std::array<std::uint32_t, 256>;

// CRC-24Q is kept in the upper 24 bits of a word, so that each step is that of
// a 32-bit checksum with the polynomial 0x864CFB00.
//
// Slice k holds the effect of a byte that k more bytes follow: eight bytes cost
// eight independent look-ups.
constexpr std::array<Table32, 8> make_slices_24q() {
  std::array<Table32, 8> slices{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t crc = i << 24;
    for (int bit = 0; bit < 8; ++bit) {
      crc = (crc << 1) ^ ((crc >> 31) * 0x864CFB00U);
    }
    slices[0][i] = crc;
  }
  for (std::size_t k = 1; k < slices.size(); ++k) {
    for (std::size_t i = 0; i < 256; ++i) {
      const std::uint32_t crc = slices[k - 1][i];
      slices[k][i] = (crc << 8) ^ slices[0][crc >> 24];
    }
  }
  return slices;
}

// The same for CRC-32, whose bits run the other way.
constexpr std::array<Table32, 8> make_slices_32() {
  std::array<Table32, 8> slices{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t crc = i;
    for (int bit = 0; bit < 8; ++bit) {
      crc = (crc >> 1) ^ ((crc & 1U) * 0xEDB88320U);
    }
    slices[0][i] = crc;
  }
  for (std::size_t k = 1; k < slices.size(); ++k) {
    for (std::size_t i = 0; i < 256; ++i) {
      const std::uint32_t crc = slices[k - 1][i];
      slices[k][i] = (crc >> 8) ^ slices[0][crc & 0xFFU];
    }
  }
  return slices;
}

constexpr std::array<std::uint16_t, 256> make_table_16() {
  std::array<std::uint16_t, 256> table{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t crc = i << 8;
    for (int bit = 0; bit < 8; ++bit) {
      crc = (crc << 1) ^ ((crc >> 15 & 1U) * 0x1021U);
    }
    table[i] = static_cast<std::uint16_t>(crc & 0xFFFFU);
  }
  return table;
}

constexpr auto kSlices24q = make_slices_24q();
constexpr auto kSlices32 = make_slices_32();
constexpr auto kTable16 = make_table_16();

// The look-up of byte `from_top` (0 = most significant) of a word in a slice.
std::uint32_t look_up(std::size_t slice, std::uint32_t word, int from_top) {
  return kSlices24q[slice][word >> (24 - 8 * from_top) & 0xFFU];
}

}  // namespace

std::uint32_t crc24q(ByteSpan bytes, std::uint32_t before) {
  std::uint32_t crc = before << 8;
  std::size_t i = 0;
  for (; bytes.size() - i >= 8; i += 8) {
    const std::uint8_t* p = bytes.data() + i;
    const auto a = crc ^ detail::load_be_unchecked<std::uint32_t>(p);
    const auto b = detail::load_be_unchecked<std::uint32_t>(p + 4);
    crc = look_up(7, a, 0) ^ look_up(6, a, 1) ^ look_up(5, a, 2) ^
          look_up(4, a, 3) ^ look_up(3, b, 0) ^ look_up(2, b, 1) ^
          look_up(1, b, 2) ^ look_up(0, b, 3);
  }
  for (; i < bytes.size(); ++i) {
    crc = (crc << 8) ^ kSlices24q[0][(crc >> 24) ^ bytes[i]];
  }
  return crc >> 8;
}

std::uint32_t crc32(ByteSpan bytes, std::uint32_t before) {
  const auto look = [](std::size_t slice, std::uint32_t word, int shift) {
    return kSlices32[slice][word >> shift & 0xFFU];
  };
  std::uint32_t crc = ~before;
  std::size_t i = 0;
  for (; bytes.size() - i >= 8; i += 8) {
    const std::uint8_t* p = bytes.data() + i;
    const auto a = crc ^ detail::load_le_unchecked<std::uint32_t>(p);
    const auto b = detail::load_le_unchecked<std::uint32_t>(p + 4);
    crc = look(7, a, 0) ^ look(6, a, 8) ^ look(5, a, 16) ^ look(4, a, 24) ^
          look(3, b, 0) ^ look(2, b, 8) ^ look(1, b, 16) ^ look(0, b, 24);
  }
  for (; i < bytes.size(); ++i) {
    crc = (crc >> 8) ^ kSlices32[0][(crc ^ bytes[i]) & 0xFFU];
  }
  return ~crc;
}

std::uint16_t crc16_ccitt(ByteSpan bytes, std::uint16_t before) {
  std::uint32_t crc = before;
  for (const std::uint8_t byte : bytes) {
    crc = (crc << 8 & 0xFFFFU) ^ kTable16[(crc >> 8) ^ byte];
  }
  return static_cast<std::uint16_t>(crc);
}

}  // namespace stillpoint

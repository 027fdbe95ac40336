#include "stillpoint/core/crc.h"

#include <gtest/gtest.h>

#include <array>
#include <random>
#include <vector>

namespace stillpoint {
namespace {

constexpr std::array<std::uint8_t, 9> kDigits{
    '1', '2', '3', '4', '5', '6', '7', '8', '9'};

// kind: cross, slices of eight against one bit at a time, lengths 0 .. 70
// tolerance: none
TEST(Crc24q, AgreesWithOneBitAtATime) {
  std::mt19937 random(3);
  std::vector<std::uint8_t> bytes;
  for (int length = 0; length <= 70; ++length) {
    std::uint32_t plain = 0;
    for (const std::uint8_t byte : bytes) {
      plain ^= static_cast<std::uint32_t>(byte) << 16;
      for (int bit = 0; bit < 8; ++bit) {
        plain <<= 1;
        if ((plain & 0x1000000U) != 0) {
          plain ^= 0x1864CFBU;
        }
      }
    }
    ASSERT_EQ(crc24q(bytes), plain) << length;
    bytes.push_back(static_cast<std::uint8_t>(random()));
  }
}

// kind: cross, bit by bit against eight bytes at a time   tolerance: none
TEST(Crc32, EveryLengthEqualsTheBitwiseOne) {
  std::vector<std::uint8_t> bytes;
  std::mt19937 random(4);
  for (std::size_t length = 0; length < 70; ++length) {
    std::uint32_t plain = ~0U;
    for (const std::uint8_t byte : bytes) {
      plain ^= byte;
      for (int bit = 0; bit < 8; ++bit) {
        plain = (plain >> 1) ^ ((plain & 1U) != 0 ? 0xEDB88320U : 0U);
      }
    }
    ASSERT_EQ(crc32(bytes), ~plain) << length;
    bytes.push_back(static_cast<std::uint8_t>(random()));
  }
}

// kind: cross, any split against the whole   tolerance: none
TEST(Crc, PiecesGiveTheSameAsTheWhole) {
  std::vector<std::uint8_t> bytes(40);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    bytes[i] = static_cast<std::uint8_t>(37 * i);
  }
  const ByteSpan all(bytes);
  for (std::size_t cut = 0; cut <= all.size(); ++cut) {
    const ByteSpan head = all.first(cut);
    const ByteSpan tail = all.subspan(cut);
    EXPECT_EQ(crc24q(tail, crc24q(head)), crc24q(all));
    EXPECT_EQ(crc32(tail, crc32(head)), crc32(all));
    EXPECT_EQ(crc16_ccitt(tail, crc16_ccitt(head)), crc16_ccitt(all));
  }
}

TEST(Crc, OfNothingIsTheStart) {
  EXPECT_EQ(crc24q({}), 0U);
  EXPECT_EQ(crc32({}), 0U);
  EXPECT_EQ(crc16_ccitt({}), 0xFFFF);
}

// A frame with its own CRC behind it has the CRC 0: how frames are found.
TEST(Crc24q, OfAFrameWithItsChecksumIsZero) {
  std::vector<std::uint8_t> frame(kDigits.begin(), kDigits.end());
  const std::uint32_t crc = crc24q(frame);
  for (const unsigned shift : {16U, 8U, 0U}) {
    frame.push_back(static_cast<std::uint8_t>(crc >> shift & 0xFFU));
  }
  EXPECT_EQ(crc24q(frame), 0U);
}

}  // namespace
}  // namespace stillpoint

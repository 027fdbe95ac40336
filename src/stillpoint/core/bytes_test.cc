#include "stillpoint/core/bytes.h"

#include <gtest/gtest.h>

#include <array>
#include <limits>

namespace stillpoint {
namespace {

constexpr std::array<std::uint8_t, 9> kBytes{1, 2, 3, 4, 5, 6, 7, 8, 9};

TEST(Bytes, NumbersOfBothOrders) {
  EXPECT_EQ(load_be<std::uint8_t>(kBytes, 8), 9);
  EXPECT_EQ(load_be<std::uint16_t>(kBytes), 0x0102);
  EXPECT_EQ(load_le<std::uint16_t>(kBytes), 0x0201);
  EXPECT_EQ(load_be<std::uint32_t>(kBytes, 1), 0x02030405U);
  EXPECT_EQ(load_le<std::uint32_t>(kBytes, 1), 0x05040302U);
  EXPECT_EQ(load_be<std::uint64_t>(kBytes, 1), 0x0203040506070809U);
  EXPECT_EQ(load_le<std::uint64_t>(kBytes, 1), 0x0908070605040302U);
}

TEST(Bytes, NothingIsReadOutsideTheSpan) {
  EXPECT_FALSE(load_be<std::uint64_t>(kBytes, 2));
  EXPECT_FALSE(load_le<std::uint8_t>(kBytes, 9));
  EXPECT_FALSE(load_le<std::uint16_t>(ByteSpan{}));
  // An offset that wraps around when the width is added to it.
  EXPECT_FALSE(load_be<std::uint32_t>(
      kBytes, std::numeric_limits<std::size_t>::max() - 1));
}

// kind: cross, stored and loaded   tolerance: none
TEST(Bytes, WhatIsStoredIsLoaded) {
  std::array<std::uint8_t, 9> bytes{};
  EXPECT_TRUE(store_be<std::uint32_t>(0xDEADBEEF, bytes, 5));
  EXPECT_EQ(load_be<std::uint32_t>(bytes, 5), 0xDEADBEEF);
  EXPECT_EQ(bytes[5], 0xDE);
  EXPECT_TRUE(store_le<std::uint64_t>(0x0123456789ABCDEF, bytes, 1));
  EXPECT_EQ(load_le<std::uint64_t>(bytes, 1), 0x0123456789ABCDEFU);
  EXPECT_EQ(bytes[0], 0);
  EXPECT_EQ(bytes[1], 0xEF);
}

TEST(Bytes, NothingIsStoredWithoutRoom) {
  std::array<std::uint8_t, 3> bytes{};
  EXPECT_FALSE(store_be<std::uint32_t>(0xFFFFFFFF, bytes));
  EXPECT_FALSE(store_le<std::uint16_t>(0xFFFF, bytes, 2));
  EXPECT_EQ(bytes, (std::array<std::uint8_t, 3>{}));
}

}  // namespace
}  // namespace stillpoint

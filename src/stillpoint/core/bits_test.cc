#include "stillpoint/core/bits.h"

#include <gtest/gtest.h>

#include <array>
#include <limits>
#include <random>
#include <vector>

namespace stillpoint {
namespace {

// One bit at a time: slow and plain.
std::uint64_t read_plainly(ByteSpan bytes, std::size_t at, unsigned bits) {
  std::uint64_t value = 0;
  for (std::size_t i = at; i < at + bits; ++i) {
    value = value << 1 | (std::uint64_t{bytes[i / 8]} >> (7 - i % 8) & 1U);
  }
  return value;
}

// kind: cross, every width at every position against one bit at a time
// tolerance: none
TEST(BitReader, EveryWidthAtEveryPositionIsRead) {
  std::mt19937 random(1);
  std::array<std::uint8_t, 20> bytes{};
  for (auto& byte : bytes) {
    byte = static_cast<std::uint8_t>(random());
  }
  for (std::size_t at = 0; at < 160; ++at) {
    for (unsigned bits = 0; bits <= 64 && at + bits <= 160; ++bits) {
      BitReader in(bytes);
      in.skip(at);
      ASSERT_EQ(in.u(bits), read_plainly(bytes, at, bits)) << at << ' ' << bits;
      ASSERT_EQ(in.position_bits(), at + bits);
      ASSERT_TRUE(in.ok());
    }
  }
}

TEST(BitReader, SignedFieldsOfBothKinds) {
  const std::array<std::uint8_t, 4> bytes{0xFF, 0x7F, 0x80, 0x01};
  BitReader two(bytes);
  EXPECT_EQ(two.s(4), -1);
  EXPECT_EQ(two.s(12), -129);
  EXPECT_EQ(two.s(8), -128);
  EXPECT_EQ(two.s(0), 0);
  EXPECT_EQ(two.s(8), 1);
  BitReader magnitude(bytes);
  EXPECT_EQ(magnitude.sign_magnitude(8), -127);
  EXPECT_EQ(magnitude.sign_magnitude(8), 127);
  EXPECT_EQ(magnitude.sign_magnitude(8), 0);  // minus zero
  EXPECT_EQ(magnitude.sign_magnitude(8), 1);
}

TEST(BitReader, PastTheEndGivesZerosAndIsRemembered) {
  const std::array<std::uint8_t, 2> bytes{0xFF, 0xFF};
  BitReader in(bytes);
  EXPECT_EQ(in.u(10), 0x3FFU);
  EXPECT_EQ(in.remaining_bits(), 6U);
  EXPECT_EQ(in.u(7), 0U);
  EXPECT_FALSE(in.ok());
  EXPECT_EQ(in.remaining_bits(), 0U);
  EXPECT_EQ(in.u(1), 0U);
  EXPECT_EQ(in.s(64), 0);
  EXPECT_FALSE(in.flag());
  in.skip(std::numeric_limits<std::size_t>::max());
  EXPECT_EQ(in.position_bits(), 16U);
  EXPECT_FALSE(in.ok());
  BitReader empty{ByteSpan{}};
  EXPECT_EQ(empty.u(0), 0U);
  EXPECT_TRUE(empty.ok());
  EXPECT_EQ(empty.u(1), 0U);
  EXPECT_FALSE(empty.ok());
}

// kind: published   source: RTCM 10403.x, worked frame of message 1005
// tolerance: none, raw integers
TEST(BitReader, ReadsThePublishedStationMessage) {
  const std::array<std::uint8_t, 19> payload{0x3E,
                                             0xD7,
                                             0xD3,
                                             0x02,
                                             0x02,
                                             0x98,
                                             0x0E,
                                             0xDE,
                                             0xEF,
                                             0x34,
                                             0xB4,
                                             0xBD,
                                             0x62,
                                             0xAC,
                                             0x09,
                                             0x41,
                                             0x98,
                                             0x6F,
                                             0x33};
  BitReader in(payload);
  EXPECT_EQ(in.u(12), 1005U);
  EXPECT_EQ(in.u(12), 2003U);
  in.skip(6);
  EXPECT_TRUE(in.flag());
  in.skip(3);
  EXPECT_EQ(in.s(38), 11'141'045'999);
  in.skip(2);
  EXPECT_EQ(in.s(38), -48'507'297'108);
  in.skip(2);
  EXPECT_EQ(in.s(38), 39'755'214'643);
  EXPECT_EQ(in.remaining_bits(), 0U);
  EXPECT_TRUE(in.ok());
}

// kind: cross, written and read back, 2000 random messages   tolerance: none
TEST(BitWriter, WhatIsWrittenIsReadBack) {
  struct Field {
    unsigned bits;
    std::int64_t value;
    int kind;
  };
  std::mt19937_64 random(2);
  for (int round = 0; round < 2000; ++round) {
    std::array<std::uint8_t, 64> bytes{};
    bytes.fill(round % 2 == 0 ? 0x00 : 0xFF);
    BitWriter out(bytes);
    std::vector<Field> fields;
    for (;;) {
      Field f{1 + static_cast<unsigned>(random() % 64),
              0,
              static_cast<int>(random() % 3)};
      if (f.bits > out.remaining_bits()) {
        break;
      }
      const auto raw = static_cast<std::int64_t>(random());
      f.value = raw >> (64 - f.bits);
      if (f.kind == 0) {
        f.value = static_cast<std::int64_t>(static_cast<std::uint64_t>(raw) >>
                                            (64 - f.bits));
        out.u(static_cast<std::uint64_t>(f.value), f.bits);
      } else if (f.kind == 1) {
        out.s(f.value, f.bits);
      } else {
        f.value /= 2;
        if (f.bits == 1) {
          f.value = 0;
        }
        out.sign_magnitude(f.value, f.bits);
      }
      fields.push_back(f);
    }
    ASSERT_TRUE(out.ok());
    BitReader in(bytes);
    for (const Field& f : fields) {
      const std::int64_t got = f.kind == 0
                                   ? static_cast<std::int64_t>(in.u(f.bits))
                               : f.kind == 1 ? in.s(f.bits)
                                             : in.sign_magnitude(f.bits);
      ASSERT_EQ(got, f.value) << f.bits << ' ' << f.kind;
    }
  }
}

TEST(BitWriter, LeavesTheOtherBitsAlone) {
  std::array<std::uint8_t, 2> bytes{0xFF, 0xFF};
  BitWriter out(bytes);
  out.u(0x5, 4);
  out.flag(false);
  EXPECT_EQ(bytes[0], 0x57);
  out.pad_to_byte();
  EXPECT_EQ(bytes[0], 0x50);
  EXPECT_EQ(bytes[1], 0xFF);
  out.pad_to_byte();
  EXPECT_EQ(out.position_bits(), 8U);
}

TEST(BitWriter, AValueThatDoesNotFitWritesNothing) {
  const auto refused = [](auto write) {
    std::array<std::uint8_t, 2> bytes{};
    BitWriter out(bytes);
    write(out);
    return !out.ok() && out.position_bits() == 0 && bytes[0] == 0;
  };
  EXPECT_TRUE(refused([](BitWriter& w) { w.u(16, 4); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.u(1, 0); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.u(1, 17); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.s(8, 4); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.s(-9, 4); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.sign_magnitude(8, 4); }));
  EXPECT_TRUE(refused([](BitWriter& w) { w.sign_magnitude(-8, 4); }));
  EXPECT_TRUE(refused([](BitWriter& w) {
    w.sign_magnitude(std::numeric_limits<std::int64_t>::min(), 64);
  }));
}

TEST(BitWriter, AFullMessageStaysRefused) {
  std::array<std::uint8_t, 1> bytes{};
  BitWriter out(bytes);
  out.u(1, 6);
  out.u(1, 3);
  EXPECT_FALSE(out.ok());
  out.u(1, 2);
  EXPECT_FALSE(out.ok());
  EXPECT_EQ(bytes[0], 0x04);
}

}  // namespace
}  // namespace stillpoint

#include "stillpoint/profile/checksum.h"

#include <gtest/gtest.h>

#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;

Bytes digits_with(const Checksum& checksum) {
  Bytes packet = test::from_text("123456789");
  append_checksum(checksum, packet);
  return {packet.begin() + 9, packet.end()};
}

// kind: published   source: check values of "123456789", named in
// tests/vectors/crc.vec and core/crc.h   tolerance: 0, checksums
TEST(AppendChecksum, WritesTheCheckValuesInBothOrders) {
  const auto crc = [](ChecksumRule rule, std::uint32_t start, bool little) {
    return digits_with({.rule = rule, .start = start, .little_endian = little});
  };
  EXPECT_EQ(crc(ChecksumRule::kCrc32, 0, false), test::from_hex("CBF43926"));
  EXPECT_EQ(crc(ChecksumRule::kCrc32, 0, true), test::from_hex("2639F4CB"));
  EXPECT_EQ(crc(ChecksumRule::kCrc24q, 0, false), test::from_hex("CDE703"));
  EXPECT_EQ(crc(ChecksumRule::kCrc24q, 0, true), test::from_hex("03E7CD"));
  EXPECT_EQ(crc(ChecksumRule::kCrc16, 0xFFFF, false), test::from_hex("29B1"));
  EXPECT_EQ(crc(ChecksumRule::kCrc16, 0xFFFF, true), test::from_hex("B129"));
  EXPECT_EQ(crc(ChecksumRule::kCrc16, 0, false), test::from_hex("31C3"));
  EXPECT_EQ(crc(ChecksumRule::kNone, 0, true), Bytes());
}

// kind: cross   source: by hand, 1+2+3 = 6, 1+3+6 = 10; 1^2^3 = 0
// tolerance: 0, checksums
TEST(AppendChecksum, LeavesOutWhatStandsBeforeItsFirstByte) {
  Bytes sums = test::from_hex("FF FF 01 02 03");
  append_checksum({.rule = ChecksumRule::kFletcher8, .from = 2}, sums);
  EXPECT_EQ(sums, test::from_hex("FF FF 01 02 03 06 0A"));
  Bytes exclusive = test::from_hex("FF 01 02 07");
  append_checksum({.rule = ChecksumRule::kXor, .from = 1}, exclusive);
  EXPECT_EQ(exclusive, test::from_hex("FF 01 02 07 04"));
}

// kind: cross   source: the packets of splitter_test_support, whose checksums
// are computed bit by bit   tolerance: 0, checksums
TEST(AppendChecksum, CompletesThePacketsOfEveryRule) {
  for (const MakerFraming& framing : test::every_rule()) {
    const Bytes whole = test::packet(framing, test::garbage(40, 7));
    Bytes packet(whole.begin(),
                 whole.end() - static_cast<std::ptrdiff_t>(
                                   checksum_bytes(framing.checksum)));
    append_checksum(checksum_of(framing), packet);
    EXPECT_EQ(packet, whole) << framing.name;
  }
}

}  // namespace
}  // namespace stillpoint::profile

// Makers' packets, and what wins where a packet and an RTCM frame claim the
// same bytes.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::joined;
using test::Outcome;
using test::packet;
using test::split;

MakerFraming with_rule(ChecksumRule rule) {
  for (const MakerFraming& framing : test::every_rule()) {
    if (framing.checksum == rule) {
      return framing;
    }
  }
  return {};
}

constexpr ChecksumRule kAllRules[] = {ChecksumRule::kNone,
                                      ChecksumRule::kXor,
                                      ChecksumRule::kFletcher8,
                                      ChecksumRule::kCrc16,
                                      ChecksumRule::kCrc24q,
                                      ChecksumRule::kCrc32};

TEST(SplitterRivals, PacketsOfEveryRuleAreFound) {
  const std::vector<MakerFraming> makers = test::every_rule();
  for (std::size_t i = 0; i < makers.size(); ++i) {
    for (const std::size_t size : {0U, 1U, 40U, 200U}) {
      const Bytes one = packet(makers[i], Bytes(size, 0x31));
      const Outcome got = split(joined({one, test::rtcm_1005(), one}), makers);
      ASSERT_EQ(got.frames.size(), 3U) << makers[i].name << " " << size;
      EXPECT_EQ(got.frames[0].kind, FrameKind::kMaker);
      EXPECT_EQ(got.frames[0].framing, i);
      EXPECT_EQ(got.frames[0].bytes, one);
      EXPECT_EQ(got.counts.skipped_bytes, 0U);
    }
  }
}

TEST(SplitterRivals, ADamagedPacketIsBadAndSkipped) {
  for (const MakerFraming& framing : test::every_rule()) {
    if (framing.checksum == ChecksumRule::kNone) {
      continue;
    }
    Bytes bad = packet(framing, Bytes(20, 0x31));
    bad[bad.size() - 10] ^= 0x04U;
    const Outcome got = split(joined({bad, test::rtcm_1005()}), {framing});
    ASSERT_EQ(got.frames.size(), 1U) << framing.name;
    EXPECT_EQ(got.frames[0].kind, FrameKind::kRtcm);
    EXPECT_EQ(got.counts.bad_checksum, 1U) << framing.name;
    EXPECT_EQ(got.counts.skipped_bytes, bad.size());
  }
}

TEST(SplitterRivals, ALengthThatCannotBeMakesNoCandidate) {
  MakerFraming framing = with_rule(ChecksumRule::kCrc32);
  const Bytes good = packet(framing, Bytes(80, 0x31));
  framing.longest = good.size();
  EXPECT_EQ(split(good, {framing}).counts.frames[2], 1U);
  framing.longest = good.size() - 1;
  EXPECT_EQ(split(good, {framing}).counts.frames[2], 0U);
  EXPECT_EQ(split(good, {framing}).counts.bad_checksum, 0U);
  // Sync, four bytes of length and a CRC are 12 bytes; 11 is too short, and
  // the greatest length that the field can hold too long.
  for (const char* length : {"0B000000", "00000000", "FFFFFFFF"}) {
    const Bytes stream =
        joined({framing.sync, from_hex(length), test::rtcm_1005()});
    const Outcome got = split(stream, {framing});
    EXPECT_EQ(got.counts.frames[0], 1U) << length;
    EXPECT_EQ(got.counts.bad_checksum, 0U) << length;
    EXPECT_EQ(got.counts.skipped_bytes, 8U) << length;
  }
}

TEST(SplitterRivals, ARtcmFrameInsideWinsOverWeakPackets) {
  for (const ChecksumRule rule : kAllRules) {
    const MakerFraming framing = with_rule(rule);
    const Bytes around =
        packet(framing, joined({{0x01}, test::rtcm_1005(), {0x02}}));
    const Outcome got = split(around, {framing});
    ASSERT_EQ(got.frames.size(), 1U);
    const bool weak = rule == ChecksumRule::kNone || rule == ChecksumRule::kXor;
    EXPECT_EQ(got.frames[0].kind, weak ? FrameKind::kRtcm : FrameKind::kMaker)
        << framing.name;
    EXPECT_EQ(got.counts.bad_checksum, 0U);
    EXPECT_EQ(got.counts.skipped_bytes, weak ? around.size() - 25 : 0U);
  }
}

TEST(SplitterRivals, ARtcmFrameReachingBeyondWinsUpTo16Bits) {
  for (const ChecksumRule rule : kAllRules) {
    const MakerFraming framing = with_rule(rule);
    // The packet's checksum falls into the frame's payload.
    const Bytes head = joined({{0xD3, 0x00, 0x40}, Bytes(8, 0x11)});
    const Bytes around = packet(framing, head);
    Bytes payload(
        around.end() - static_cast<std::ptrdiff_t>(8 + checksum_bytes(rule)),
        around.end());
    payload.resize(64, 0x22);
    const Bytes frame = test::rtcm_frame(payload);
    const std::size_t start = around.size() - checksum_bytes(rule) - 11;
    Bytes stream = around;
    stream.resize(start);
    stream = joined({stream, frame, test::rtcm_1005()});
    const Outcome got = split(stream, {framing});
    ASSERT_GE(got.frames.size(), 1U);
    const bool strong =
        rule == ChecksumRule::kCrc24q || rule == ChecksumRule::kCrc32;
    EXPECT_EQ(got.frames[0].kind, strong ? FrameKind::kMaker : FrameKind::kRtcm)
        << framing.name;
    EXPECT_EQ(got.frames[0].bytes, strong ? around : frame);
    EXPECT_EQ(got.frames.back().bytes, test::rtcm_1005());
    EXPECT_EQ(got, test::reference(stream, {framing}));
    // With the frame cut off there is no rival, and the packet stands.
    stream.resize(start + frame.size() - 1);
    EXPECT_EQ(split(stream, {framing}).frames.at(0).bytes, around);
    EXPECT_EQ(test::split_in_pieces(stream, {framing}, 1),
              test::reference(stream, {framing}));
  }
}

TEST(SplitterRivals, ARtcmFrameThatEndsWithAPacketBelongsToIt) {
  // Searched for: the last two bytes of the CRC are the packet's checksum.
  const Bytes frame = from_hex("D300040000AFC81268AF");
  const MakerFraming framing = with_rule(ChecksumRule::kFletcher8);
  const Bytes around = packet(framing, {frame.begin(), frame.end() - 2});
  ASSERT_TRUE(std::equal(frame.rbegin(), frame.rend(), around.rbegin()));
  ASSERT_EQ(split(frame, {}).counts.frames[0], 1U);
  const Outcome got = split(around, {framing});
  ASSERT_EQ(got.frames.size(), 1U);
  EXPECT_EQ(got.frames[0].bytes, around);
  EXPECT_EQ(got, test::reference(around, {framing}));
}

TEST(SplitterRivals, AStartInTheLastBytesOfAPacketIsWaitedFor) {
  // The packet ends in D3, in D3 00, in D3 00 13: the next bytes decide.
  const MakerFraming framing = with_rule(ChecksumRule::kNone);
  for (std::size_t inside = 1; inside < 25; ++inside) {
    const Bytes frame = test::rtcm_1005();
    const auto cut = frame.begin() + static_cast<std::ptrdiff_t>(inside);
    const Bytes around = packet(framing, {frame.begin(), cut});
    const Bytes won = joined({around, {cut, frame.end()}});
    const Outcome got = test::split_in_pieces(won, {framing}, 1);
    ASSERT_EQ(got.frames.size(), 1U) << inside;
    EXPECT_EQ(got.frames[0].bytes, frame);
    Bytes lost = won;
    lost.back() ^= 1U;
    const Outcome stands = test::split_in_pieces(lost, {framing}, 1);
    ASSERT_EQ(stands.frames.size(), 1U) << inside;
    EXPECT_EQ(stands.frames[0].bytes, around);
  }
}

TEST(SplitterRivals, SeveralKindsMayStartWithTheSameByte) {
  MakerFraming first = with_rule(ChecksumRule::kCrc32);
  first.sync = from_hex("D300");
  first.length_offset = 2;
  first.checksum_from = 0;
  MakerFraming second = with_rule(ChecksumRule::kFletcher8);
  second.sync = from_hex("D300");
  const std::vector<MakerFraming> makers = {first, second};
  const Bytes stream = joined({packet(second, Bytes(3, 1)),
                               test::rtcm_1005(),
                               packet(first, Bytes(4, 2)),
                               test::rtcm_1005(),
                               Bytes(1100, 7)});
  const Outcome got = split(stream, makers);
  ASSERT_EQ(got.frames.size(), 4U) << got.text();
  EXPECT_EQ(got.frames[0].framing, 1U);
  EXPECT_EQ(got.frames[2].framing, 0U);
  EXPECT_EQ(got, test::reference(stream, makers));
  EXPECT_EQ(test::split_in_pieces(stream, makers, 1), got);
}

}  // namespace
}  // namespace stillpoint::profile

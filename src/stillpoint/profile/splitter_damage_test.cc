// Damaged streams, and streams cut into pieces, against the other splitter of
// splitter_test_support.h (kind: cross, exact).
#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::joined;
using test::Outcome;
using test::packet;
using test::reference;
using test::Seen;
using test::sentence;
using test::split;

// Frames, sentences, one packet of each rule, false starts and garbage.
Bytes stream_of(const std::vector<MakerFraming>& makers) {
  std::vector<Bytes> parts = {test::rtcm_1005(),
                              sentence("GPGGA,123519,4807.038,N,01131.000,E"),
                              test::rtcm_frame({})};
  for (const MakerFraming& framing : makers) {
    parts.push_back(packet(framing, from_hex("0102D3000312")));
    parts.push_back(test::rtcm_frame(from_hex("24D300029EC421")));
    parts.push_back(sentence("GNZDA," + framing.name));
  }
  parts.push_back(from_hex("D3000AD3"));
  parts.push_back(test::garbage(20, 3));
  parts.push_back(test::rtcm_1005());
  parts.push_back(from_hex("9EC4000000D30024"));
  return joined(parts);
}

// Frames of an undamaged stream that do not touch [from, to) must be among
// those found, `moved` bytes further on where they lie behind.
void expect_untouched(const Outcome& before,
                      const Outcome& after,
                      std::size_t from,
                      std::size_t to,
                      std::ptrdiff_t moved,
                      bool rtcm_only) {
  for (Seen frame : before.frames) {
    const std::size_t end = frame.offset + frame.bytes.size();
    if ((rtcm_only && frame.kind != FrameKind::kRtcm) ||
        (frame.offset < to && end > from)) {
      continue;
    }
    if (frame.offset >= to) {
      frame.offset += static_cast<std::uint64_t>(moved);
    }
    EXPECT_NE(std::find(after.frames.begin(), after.frames.end(), frame),
              after.frames.end())
        << "lost: frame at " << frame.offset << "; damage at " << from;
  }
}

void flip_every_byte(const std::vector<MakerFraming>& makers, bool rtcm_only) {
  const Bytes good = stream_of(makers);
  const Outcome before = split(good, makers);
  ASSERT_EQ(before, reference(good, makers));
  for (const std::uint8_t pattern : Bytes{0xFF, 0x01, 0x80}) {
    Bytes stream = good;
    for (std::size_t i = 0; i < stream.size(); ++i) {
      stream[i] ^= pattern;
      const Outcome got = split(stream, makers);
      ASSERT_EQ(got, reference(stream, makers)) << got.text();
      ASSERT_EQ(test::split_in_pieces(stream, makers, 7), got);
      expect_untouched(before, got, i, i + 1, 0, rtcm_only);
      stream[i] ^= pattern;
    }
  }
}

TEST(SplitterDamage, AFlippedByteCostsOnlyItsFrame) {
  flip_every_byte({}, false);
  flip_every_byte(test::strong_rules(), false);
}

// A packet without a checksum whose length was hit may swallow what is not
// RTCM.
TEST(SplitterDamage, AFlippedByteCostsNoOtherRtcmFrameBesideWeakPackets) {
  flip_every_byte(test::every_rule(), true);
}

TEST(SplitterDamage, InsertedAndLostBytesCostOnlyWhatTheyTouch) {
  const std::vector<MakerFraming> makers = test::strong_rules();
  const Bytes good = stream_of(makers);
  const Outcome before = split(good, makers);
  std::minstd_rand random(20);
  for (int round = 0; round < 400; ++round) {
    Bytes stream = good;
    const std::size_t at = random() % good.size();
    const std::size_t count = 1 + random() % 40;
    const auto place = stream.begin() + static_cast<std::ptrdiff_t>(at);
    const auto seed = static_cast<std::uint32_t>(round + 1);
    if (round % 2 == 0) {
      const Bytes more = test::garbage(count, seed);
      stream.insert(place, more.begin(), more.end());
      const Outcome got = split(stream, makers);
      ASSERT_EQ(got, reference(stream, makers)) << got.text();
      expect_untouched(
          before, got, at, at, static_cast<std::ptrdiff_t>(count), false);
    } else {
      const std::size_t lost = std::min(count, good.size() - at);
      stream.erase(place, place + static_cast<std::ptrdiff_t>(lost));
      const Outcome got = split(stream, makers);
      ASSERT_EQ(got, reference(stream, makers)) << got.text();
      expect_untouched(before,
                       got,
                       at,
                       at + lost,
                       -static_cast<std::ptrdiff_t>(lost),
                       false);
    }
  }
}

// Bytes that are mostly starts, lengths and line ends.
Bytes hostile(std::size_t count, std::uint32_t seed) {
  const Bytes letters =
      from_hex("D3D3D3000000000102030A0D24212A30355A9EC4C5A147E7E82440FF");
  std::minstd_rand random(seed);
  Bytes bytes(count);
  for (std::uint8_t& byte : bytes) {
    byte = letters[(random() >> 8) % letters.size()];
  }
  return bytes;
}

TEST(SplitterDamage, GarbageGivesTheSameInAnyPieces) {
  const std::vector<MakerFraming> makers = test::every_rule();
  for (std::uint32_t seed = 1; seed <= 60; ++seed) {
    const Bytes stream = joined({hostile(std::size_t{20} * seed, seed),
                                 test::rtcm_1005(),
                                 test::garbage(300, seed),
                                 packet(makers[seed % 6], {1, 2, 3}),
                                 hostile(100, seed + 100)});
    const Outcome got = split(stream, makers);
    ASSERT_EQ(got, reference(stream, makers)) << got.text();
    ASSERT_EQ(test::split_in_pieces(stream, makers, 1), got);
    ASSERT_EQ(test::split_at(
                  stream, makers, test::random_cuts(stream.size(), 90, seed)),
              got);
  }
}

TEST(SplitterDamage, EveryCutAndEveryEndGivesTheSame) {
  const std::vector<MakerFraming> makers = test::every_rule();
  const Bytes stream = stream_of(makers);
  const Outcome whole = split(stream, makers);
  ASSERT_EQ(test::split_in_pieces(stream, makers, 1), whole);
  for (std::size_t cut = 0; cut <= stream.size(); ++cut) {
    ASSERT_EQ(test::split_at(stream, makers, {cut}), whole) << cut;
    const Bytes start(stream.begin(),
                      stream.begin() + static_cast<std::ptrdiff_t>(cut));
    const Outcome ended = split(start, makers);
    ASSERT_EQ(ended, reference(start, makers)) << cut << "\n" << ended.text();
    ASSERT_EQ(test::split_in_pieces(start, makers, 3), ended) << cut;
  }
}

TEST(SplitterDamage, SumsAddUp) {
  for (std::uint32_t seed = 1; seed <= 20; ++seed) {
    const Bytes stream = joined({hostile(500, seed), test::rtcm_1005()});
    const Outcome got = split(stream, test::every_rule());
    std::uint64_t inside = 0;
    for (const Seen& frame : got.frames) {
      inside += frame.bytes.size();
    }
    EXPECT_EQ(inside + got.counts.skipped_bytes, stream.size());
  }
}

}  // namespace
}  // namespace stillpoint::profile

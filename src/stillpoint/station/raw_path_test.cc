#include "stillpoint/station/raw_path.h"

#include <gtest/gtest.h>

#include <map>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/core/crc.h"
#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

using Bytes = std::vector<std::uint8_t>;

// An RTCM frame of a type that nobody reads.
Bytes frame(std::uint8_t fill, std::size_t payload) {
  Bytes bytes = {0xD3,
                 static_cast<std::uint8_t>(payload >> 8U),
                 static_cast<std::uint8_t>(payload & 0xFFU)};
  bytes.insert(bytes.end(), payload, fill);
  const std::uint32_t crc = crc24q(bytes);
  for (const unsigned shift : {16U, 8U, 0U}) {
    bytes.push_back(static_cast<std::uint8_t>(crc >> shift));
  }
  return bytes;
}

class Rovers final : public ntrip::FrameSink {
 public:
  void on_chunk(std::string_view mount, ByteSpan chunk) override {
    Bytes& all = got[std::string(mount)];
    all.insert(all.end(), chunk.begin(), chunk.end());
    ++chunks;
  }
  std::map<std::string, Bytes> got;
  int chunks = 0;
};

class RawPathTest : public testing::Test {
 protected:
  RawPath make(bool waits = false) {
    return RawPath({{}, {"A", "B"}, waits, {}},
                   rovers_,
                   recording_,
                   decode_,
                   clock_.clocks());
  }

  test::HandClock clock_;
  test::LogLines log_;
  test::TempFolder folder_;
  std::unique_ptr<FileSystem> files_ = archive::posix_file_system();
  Chronicle chronicle_{{}, clock_.clocks(), log_.logger()};
  Recording recording_{
      *files_, {}, {}, clock_.clocks(), chronicle_, log_.logger()};
  ByteQueue decode_{1000};
  Rovers rovers_;
};

TEST_F(RawPathTest, RoversGetWholeFramesAndNothingElseHoweverBytesArrive) {
  const Bytes first = frame(1, 40), second = frame(2, 300);
  Bytes stream = {'$', 'G', 'P', 'X', 'X', '*', '0', '0', '\r', '\n', 0xD3};
  for (const Bytes& part : {first, Bytes{1, 2, 3}, second}) {
    stream.insert(stream.end(), part.begin(), part.end());
  }
  Bytes wanted = first;
  wanted.insert(wanted.end(), second.begin(), second.end());
  for (const std::size_t step : {1U, 7U, 100U, 1000U}) {
    rovers_.got.clear();
    RawPath raw = make();
    for (std::size_t at = 0; at < stream.size(); at += step) {
      const std::size_t n = std::min<std::size_t>(step, stream.size() - at);
      raw.push(ByteSpan(stream).subspan(at, n), {});
    }
    raw.broken();
    EXPECT_EQ(rovers_.got["A"], wanted) << step;
    EXPECT_EQ(rovers_.got["B"], wanted) << step;
    EXPECT_EQ(raw.bytes(), stream.size());
    EXPECT_EQ(raw.frame_bytes(), wanted.size());
    decode_.take(std::chrono::nanoseconds{0});
  }
}

TEST_F(RawPathTest, FramesOfOneReadAreOneChunk) {
  RawPath raw = make();
  Bytes both = frame(1, 10);
  const Bytes second = frame(2, 10);
  both.insert(both.end(), second.begin(), second.end());
  raw.push(both, {});
  EXPECT_EQ(rovers_.chunks, 2);  // one a mountpoint
}

TEST_F(RawPathTest, ADecoderThatLagsCostsOnlyWhatItWouldHaveSeen) {
  RawPath raw = make();
  const Bytes big = frame(3, 700);
  raw.push(big, {});
  raw.push(big, {});
  EXPECT_EQ(raw.undecoded_bytes(), big.size());
  EXPECT_EQ(rovers_.got["A"].size(), 2 * big.size());
  EXPECT_EQ(recording_.facts().queued_bytes, 2 * big.size());
  EXPECT_EQ(recording_.facts().dropped_bytes, 0U);
}

TEST_F(RawPathTest, WhatFollowsALossIsNotGluedToWhatWasBefore) {
  RawPath raw = make();
  const Bytes whole = frame(4, 500);
  raw.push(ByteSpan(whole).first(100), {});
  raw.broken();
  raw.push(whole, {});
  EXPECT_EQ(rovers_.got["A"], whole);
}

TEST_F(RawPathTest, TheTapGetsEveryByte) {
  RawPath raw = make();
  Bytes tapped;
  raw.set_tap([&](ByteSpan bytes) {
    tapped.insert(tapped.end(), bytes.begin(), bytes.end());
  });
  const Bytes junk = {1, 2, 3, 0xD3, 4};
  raw.push(junk, {});
  EXPECT_EQ(tapped, junk);
}

}  // namespace
}  // namespace stillpoint::station

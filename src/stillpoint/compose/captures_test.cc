// Recorded streams of real stations, cut as a network cuts them.
#include <gtest/gtest.h>

#include <array>
#include <random>
#include <string>
#include <vector>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/codec_test_support.h"
#include "stillpoint/rtcm/peek.h"
#include "tests/support/test_data.h"

namespace stillpoint::compose {
namespace {

constexpr std::array kStreams = {"rtcm/legacy-beside-msm7.rtcm3",
                                 "rtcm/mixed-station-stream.rtcm3",
                                 "rtcm/mixed-short.rtcm3",
                                 "rtcm/msm7-five-systems.rtcm3.gz",
                                 "rtcm/msm7-week-rollover.rtcm3.gz",
                                 "rtcm/ssr-3epochs.rtcm3.gz"};

Frames frames_of_file(const std::string& path) {
  Frames frames;
  for (const auto& payload : rtcm::payloads_of_file(path)) {
    frames.push_back(rtcm::make_frame(payload));
  }
  return frames;
}

class Feeder final : public profile::FrameSink {
 public:
  explicit Feeder(Composer& composer) : composer_(&composer) {}
  void on_frame(const profile::StreamFrame& frame) override {
    if (frame.kind == profile::FrameKind::kRtcm) {
      composer_->on_frame(frame.bytes, steady_s_, kStart, out);
    }
    steady_s_ += 0.2;
  }
  Bytes out;

 private:
  Composer* composer_;
  double steady_s_ = 0;
};

Bytes out_of_cut(const Bytes& stream, unsigned seed) {
  std::mt19937 engine(seed);
  Composer composer;
  Feeder feeder(composer);
  profile::StreamSplitter splitter;
  for (ByteSpan rest = stream; !rest.empty();) {
    const std::size_t count =
        std::min<std::size_t>(rest.size(), 1 + engine() % 1500);
    splitter.push(rest.first(count), feeder);
    rest = rest.subspan(count);
  }
  splitter.finish(feeder);
  return feeder.out;
}

// kind: cross   a definition: nothing is asked for, so nothing changes
TEST(Captures, WithoutAnyWishEveryByteComesOutHoweverItIsCut) {
  STILLPOINT_DATA_OR_SKIP("rtcm/mixed-short.rtcm3");
  for (const char* name : kStreams) {
    const Frames frames = frames_of_file(test::data_path(name));
    ASSERT_FALSE(frames.empty()) << name;
    const Bytes all = joined(frames);
    for (unsigned seed = 1; seed <= 5; ++seed) {
      EXPECT_EQ(out_of_cut(all, seed), all) << name;
    }
  }
}

// The frames between ours are the receiver's, unchanged and in order, and ours
// stand where an epoch is whole.
TEST(Captures, OurFramesStandBetweenEpochsOfRealStreams) {
  STILLPOINT_DATA_OR_SKIP("rtcm/mixed-short.rtcm3");
  for (const char* name : kStreams) {
    SCOPED_TRACE(name);
    Composer composer({.position_every_s = 2, .notice_every_s = 3});
    ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = kPoint}));
    composer.set_notice("Doubtful: few satellites are tracked.");
    Frames theirs, ours;
    double steady_s = 0;
    bool open = false;
    std::uint64_t replaced = 0;
    for (const Bytes& frame : frames_of_file(test::data_path(name))) {
      const int type = rtcm::message_type(rtcm::payload_of(frame)).value_or(0);
      Bytes out;
      composer.on_frame(frame, steady_s += 0.1, kStart, out);
      bool before = true;
      for (const Bytes& left : frames_of(out)) {
        if (left == frame) {
          before = false;
          const auto msm = rtcm::msm_type(type);
          open = msm ? (left[3 + 54 / 8] & (0x80U >> (54 % 8))) != 0 : open;
          continue;
        }
        EXPECT_FALSE(open) << (before ? "before " : "after ") << type;
        ours.push_back(left);
      }
      const bool position = type == 1005 || type == 1006;
      replaced += position ? 1 : 0;
      EXPECT_EQ(before, position) << "type " << type << " left or not";
    }
    EXPECT_EQ(composer.counts().replaced, replaced);
    EXPECT_EQ(composer.counts().inserted, ours.size());
    EXPECT_GT(ours.size(), 0U);
  }
}

// kind: cross   re-id back to where it was gives the stream again
TEST(Captures, ANewIdAndTheOldOneAgainGiveTheSameBytes) {
  STILLPOINT_DATA_OR_SKIP("rtcm/mixed-short.rtcm3");
  for (const char* name : kStreams) {
    SCOPED_TRACE(name);
    Composer there({.station_id = 4021});
    for (const Bytes& frame : frames_of_file(test::data_path(name))) {
      const auto id = rtcm::peek_station_id(rtcm::payload_of(frame));
      Bytes changed, back;
      there.on_frame(frame, 0, kStart, changed);
      Composer home({.station_id = id});
      home.on_frame(changed, 0, kStart, back);
      EXPECT_EQ(back, frame);
      EXPECT_EQ(rtcm::peek_station_id(rtcm::payload_of(changed)),
                id ? std::optional(4021) : std::nullopt);
    }
  }
}

}  // namespace
}  // namespace stillpoint::compose

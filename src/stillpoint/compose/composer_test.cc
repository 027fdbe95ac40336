// What passes, what is left out, what is changed.
#include "stillpoint/compose/composer.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/raw_station.h"

namespace stillpoint::compose {
namespace {

using enum System;
using Types = std::vector<int>;

Frames whole_stream(double t_s) {
  Frames frames = epoch_frames(t_s, {kGps, kGlonass, kGalileo, kBeidou});
  frames.insert(frames.begin(), receiver_position_frame(kPoint));
  frames.push_back(ephemeris_frame());
  rtcm::RawAntenna antenna;
  antenna.type = 1033;
  antenna.station_id = kReceiverId;
  antenna.descriptor = "SPDEMO-A1 NONE";
  frames.push_back(framed(antenna));
  rtcm::RawText text;
  text.station_id = kReceiverId;
  text.characters = 2;
  text.bytes = "up";
  frames.push_back(framed(text));
  frames.push_back(rtcm::make_frame({}));                 // of length 0
  frames.push_back(rtcm::make_frame(Bytes{0x43}));        // no whole number
  frames.push_back(rtcm::make_frame(Bytes{0x43, 0x50}));  // 1077 and no more
  frames.push_back(rtcm::make_frame(Bytes{0x3E, 0xD0}));  // 1005 and no more
  return frames;
}

bool more_follows(const Bytes& frame) {
  rtcm::RawMsm msm;
  EXPECT_TRUE(rtcm::decode_msm(rtcm::payload_of(frame), msm));
  return msm.multiple;
}

// kind: cross   a definition: nothing is asked for, so nothing changes
TEST(Composer, WithoutAnyWishEveryByteComesOut) {
  Composer composer;
  for (double t_s = 0; t_s < 100; ++t_s) {
    const Frames frames = whole_stream(t_s);
    ASSERT_EQ(fed(composer, frames, t_s), joined(frames)) << t_s;
  }
  EXPECT_EQ(composer.counts().passed, 1200U);
  EXPECT_EQ(composer.counts().inserted, 0U);
}

TEST(Composer, TypesOfTheListAreLeftOut) {
  Composer composer({.drop = {1033, 1019}});
  const Bytes out = fed(composer, whole_stream(0), 0);
  EXPECT_EQ(types_of(out),
            (Types{1005, 1077, 1087, 1097, 1127, 1029, 0, 0, 1077, 1005}));
  EXPECT_EQ(composer.counts().dropped, 2U);
  EXPECT_EQ(composer.counts().passed, 10U);
}

// Otherwise a rover would wait for the rest of the epoch.
TEST(Composer, TheLastMessageLeftIsMarkedAsTheLast) {
  Composer composer({.drop = {1097, 1127}});
  const Frames in = epoch_frames(0, {kGps, kGlonass, kGalileo, kBeidou});
  const Frames out = frames_of(fed(composer, in, 0));
  ASSERT_EQ(out.size(), 2U);
  EXPECT_EQ(out[0], in[0]);
  EXPECT_NE(out[1], in[1]);
  EXPECT_TRUE(more_follows(out[0]));
  EXPECT_FALSE(more_follows(out[1]));
  rtcm::RawMsm was, is;
  ASSERT_TRUE(rtcm::decode_msm(rtcm::payload_of(in[1]), was));
  ASSERT_TRUE(rtcm::decode_msm(rtcm::payload_of(out[1]), is));
  was.multiple = false;
  EXPECT_EQ(rtcm::encode_msm(was), rtcm::encode_msm(is)) << "and nothing else";
}

TEST(Composer, MessagesLeftOutInTheMiddleChangeNoOther) {
  Composer composer({.drop = {1087}});
  Frames in = epoch_frames(0, {kGps, kGlonass, kGalileo});
  const Bytes out = fed(composer, in, 0);
  in.erase(in.begin() + 1);
  EXPECT_EQ(out, joined(in));
}

TEST(Composer, AMessageKeptBackLeavesWhenItsEpochWasCutShort) {
  Composer composer({.drop = {1127}});
  Frames first = epoch_frames(0, {kGps, kBeidou});
  first.pop_back();  // damaged on the way
  EXPECT_TRUE(fed(composer, first, 0).empty());
  Bytes out;
  composer.on_quiet(4, kStart, out);
  EXPECT_TRUE(out.empty()) << "it may still come";
  composer.on_quiet(5.5, kStart, out);
  ASSERT_EQ(types_of(out), (Types{1077}));
  EXPECT_FALSE(more_follows(out));

  EXPECT_TRUE(fed(composer, first, 6).empty());
  const Frames second = frames_of(fed(composer, epoch_frames(7, {kGps}), 7));
  ASSERT_EQ(second.size(), 2U) << "of the epoch before, and its own";
  EXPECT_FALSE(more_follows(second[0]));
}

TEST(Composer, AShutGateHoldsBackObservationsAlone) {
  Composer composer;
  composer.set_gate(false, true);
  Frames in = whole_stream(0);
  for (const int type : {1001, 1004, 1009, 1012, 1071, 1137}) {
    Bytes payload(20);
    payload[0] = static_cast<std::uint8_t>(type / 16);
    payload[1] = static_cast<std::uint8_t>(type % 16 * 16);
    in.push_back(rtcm::make_frame(payload));
  }
  EXPECT_EQ(types_of(fed(composer, in, 0)),
            (Types{1005, 1019, 1033, 1029, 0, 0, 1005}));
  EXPECT_EQ(composer.counts().withheld, 11U);
}

TEST(Composer, AShutGateHoldsBackEveryPosition) {
  Composer composer;
  composer.set_gate(true, false);
  Bytes network(20);  // 1032: where the physical station is
  network[0] = 1032 / 16;
  network[1] = 1032 % 16 * 16;
  const Frames in = {receiver_position_frame(kPoint),
                     receiver_position_frame(kPoint, 1.5),
                     rtcm::make_frame(network),
                     ephemeris_frame()};
  EXPECT_EQ(types_of(fed(composer, in, 0)), (Types{1019}));
  EXPECT_EQ(composer.counts().withheld, 3U);
  ASSERT_TRUE(composer.receiver_position()) << "heard all the same";
  EXPECT_EQ(composer.receiver_position()->type, 1006);
}

TEST(Composer, TheReceiversPositionNeverPassesBesideABroadcast) {
  Composer composer;
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = kPoint}));
  const Ecef other{kPoint.x_m + 7, kPoint.y_m, kPoint.z_m};
  Bytes out;
  for (double t_s = 0; t_s < 60; ++t_s) {
    Frames in = epoch_frames(t_s, {kGps});
    in.push_back(receiver_position_frame(other, 2.0));
    const Bytes now = fed(composer, in, t_s);
    out.insert(out.end(), now.begin(), now.end());
  }
  const auto positions = positions_in(out);
  EXPECT_EQ(positions.size(), 6U);
  for (const auto& p : positions) {
    EXPECT_EQ(p.type, 1005);
    EXPECT_EQ(p.x, 42'780'000'000);
  }
  EXPECT_EQ(composer.counts().replaced, 60U);
  EXPECT_EQ(composer.counts().inserted, 6U);
}

TEST(Composer, WhatTheReceiverSaysOfItselfIsToldAndRepeated) {
  Composer composer;
  EXPECT_FALSE(composer.receiver_position());
  const Ecef other{kPoint.x_m + 7, kPoint.y_m, kPoint.z_m};
  fed(composer, {receiver_position_frame(other, 1.25)}, 0);
  ASSERT_TRUE(composer.receiver_position());
  // kind: cross   encode of decode; tolerance: 0.05 mm, half a step
  EXPECT_NEAR(composer.receiver_position()->arp_m.x_m, other.x_m, 5e-5);
  EXPECT_NEAR(*composer.receiver_position()->antenna_height_m, 1.25, 5e-5);
  EXPECT_EQ(composer.receiver_position()->station_id, kReceiverId);
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = kPoint}));
  const auto own = positions_in(fed(composer, epoch_frames(1, {kGps}), 1));
  ASSERT_EQ(own.size(), 1U);
  EXPECT_TRUE(own[0].single_oscillator) << "DF142 is of the receiver's make";
  EXPECT_EQ(own[0].quarter_cycle, 1) << "and so is DF364";
}

TEST(Composer, AReceiverThatNoLongerSendsItsPositionHasNone) {
  Composer composer;
  fed(composer, {receiver_position_frame(kPoint)}, 5);
  fed(composer, epoch_frames(605, {kGps}), 605);
  EXPECT_TRUE(composer.receiver_position());
  Bytes out;
  composer.on_quiet(2000, kStart, out);
  EXPECT_TRUE(composer.receiver_position()) << "silence tells nothing";
  fed(composer, epoch_frames(2001, {kGps}), 2001);
  EXPECT_FALSE(composer.receiver_position());
}

TEST(Composer, ANewStationIdIsWrittenIntoEveryMessageThatHasOne) {
  Composer composer({.station_id = 3000});
  const Frames in = whole_stream(0);
  const Frames out = frames_of(fed(composer, in, 0));
  ASSERT_EQ(out.size(), in.size());
  int renamed = 0;
  for (std::size_t i = 0; i < in.size(); ++i) {
    const ByteSpan was = rtcm::payload_of(in[i]);
    const ByteSpan is = rtcm::payload_of(out[i]);
    if (!rtcm::peek_station_id(was)) {
      EXPECT_EQ(out[i], in[i]);
      continue;
    }
    ++renamed;
    EXPECT_EQ(rtcm::peek_station_id(is), 3000);
    EXPECT_EQ(rtcm::message_type(is), rtcm::message_type(was));
    EXPECT_TRUE(
        std::equal(was.begin() + 3, was.end(), is.begin() + 3, is.end()));
  }
  EXPECT_EQ(renamed, 7);
  EXPECT_EQ(composer.counts().passed, in.size());
}

TEST(Composer, TheSameStationIdChangesNoByte) {
  Composer composer({.station_id = kReceiverId});
  const Frames in = whole_stream(0);
  EXPECT_EQ(fed(composer, in, 0), joined(in));
}

TEST(Composer, WhatNoMessageCanHoldIsRefusedAndChangesNothing) {
  Composer composer;
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = kPoint}));
  Ecef far = kPoint;
  far.x_m = 1.4e7;
  const auto bad = composer.set_broadcast(Broadcast{.arp_m = far});
  ASSERT_FALSE(bad);
  EXPECT_EQ(bad.error().code, ErrorCode::kOutOfRange);
  far.x_m = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(composer.set_broadcast(Broadcast{.arp_m = far}));
  EXPECT_FALSE(composer.set_broadcast(
      Broadcast{.arp_m = kPoint, .antenna_height_m = 6.6}));
  EXPECT_FALSE(
      composer.set_broadcast(Broadcast{.arp_m = kPoint, .itrf_year = 64}));
  const auto own = positions_in(fed(composer, epoch_frames(0, {kGps}), 0));
  ASSERT_EQ(own.size(), 1U);
  EXPECT_EQ(own[0].x, 42'780'000'000);
}

TEST(Composer, WithoutABroadcastTheReceiversPassesAgain) {
  Composer composer;
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = kPoint}));
  fed(composer, epoch_frames(0, {kGps}), 0);
  ASSERT_TRUE(composer.set_broadcast(std::nullopt));
  const Frames in = whole_stream(1);
  EXPECT_EQ(fed(composer, in, 1), joined(in));
}

TEST(Composer, AGateShutWhileAMessageIsKeptBackShutsForItToo) {
  Composer composer({.drop = {1127}});
  Frames in = epoch_frames(0, {kGps, kBeidou});
  EXPECT_TRUE(fed(composer, {in[0]}, 0).empty());
  composer.set_gate(false, true);
  EXPECT_TRUE(fed(composer, {in[1]}, 0).empty());
  EXPECT_EQ(composer.counts().withheld, 1U);
  EXPECT_EQ(composer.counts().dropped, 1U);
}

}  // namespace
}  // namespace stillpoint::compose

// When and where the station's own frames go in, and what stands in them.
#include <gtest/gtest.h>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/compose/composer.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "stillpoint/rtcm/raw_station.h"

namespace stillpoint::compose {
namespace {

using enum System;
using Types = std::vector<int>;

Composer with_broadcast(ComposerOptions options = {},
                        std::optional<double> height_m = {}) {
  Composer composer(std::move(options));
  EXPECT_TRUE(composer.set_broadcast(
      Broadcast{.arp_m = kPoint, .antenna_height_m = height_m}));
  return composer;
}

TEST(Insertion, TheFirstPositionFollowsTheFirstWholeEpoch) {
  Composer composer = with_broadcast();
  const Frames epoch = epoch_frames(0, {kGps, kGlonass, kGalileo});
  EXPECT_EQ(types_of(fed(composer, epoch, 0)), (Types{1077, 1087, 1097, 1005}));
}

TEST(Insertion, PositionsComeAsOftenAsAskedFor) {
  Composer composer = with_broadcast({.position_every_s = 5});
  std::vector<double> at_s;
  for (double t_s = 0; t_s < 21; ++t_s) {
    if (!positions_in(fed(composer, epoch_frames(t_s, {kGps}), t_s)).empty()) {
      at_s.push_back(t_s);
    }
  }
  EXPECT_EQ(at_s, (std::vector<double>{0, 5, 10, 15, 20}));
}

TEST(Insertion, AChangeIsSentAtOnce) {
  Composer composer = with_broadcast({.position_every_s = 3600});
  EXPECT_EQ(positions_in(fed(composer, epoch_frames(0, {kGps}), 0)).size(), 1U);
  EXPECT_TRUE(positions_in(fed(composer, epoch_frames(1, {kGps}), 1)).empty());
  Ecef moved = kPoint;
  moved.z_m += 0.018;
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = moved}));
  const Bytes out = fed(composer, epoch_frames(2, {kGps, kGalileo}), 2);
  EXPECT_EQ(types_of(out), (Types{1005, 1077, 1097})) << "before the epoch";
  EXPECT_EQ(positions_in(out).at(0).z, 46'650'000'180);
  ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = moved}));
  EXPECT_EQ(types_of(fed(composer, epoch_frames(2.2, {kGps, kGalileo}), 2.2)),
            (Types{1077, 1097}))
      << "the same again is no change";
}

TEST(Insertion, NothingGoesBetweenTheMessagesOfOneEpoch) {
  Composer composer = with_broadcast({.position_every_s = 1});
  const Frames epoch = epoch_frames(0, {kGps, kGlonass, kGalileo, kBeidou});
  // Slowly, an ephemeris in the middle, and changes while it comes.
  Bytes out;
  for (std::size_t i = 0; i < epoch.size(); ++i) {
    composer.on_frame(epoch[i], 1.1 * static_cast<double>(i), kStart, out);
    if (i + 1 < epoch.size()) {
      composer.on_frame(
          ephemeris_frame(), 1.1 * static_cast<double>(i), kStart, out);
      composer.on_quiet(1.1 * static_cast<double>(i), kStart, out);
      Ecef moved = kPoint;
      moved.x_m += static_cast<double>(i);
      ASSERT_TRUE(composer.set_broadcast(Broadcast{.arp_m = moved}));
      composer.set_notice("notice " + std::to_string(i));
    }
  }
  EXPECT_EQ(types_of(out),
            (Types{1077, 1019, 1087, 1019, 1097, 1019, 1127, 1005, 1029}));
}

// kind: published   source: RTCM 10403.3, DF005 of 1001 to 1004 and 1009 to
// 1012: set while messages of other systems for the same epoch follow; from
// memory
TEST(Insertion, LegacyEpochsAreNotCutEither) {
  rtcm::RawLegacyGps gps;
  gps.station_id = kReceiverId;
  gps.tow_ms = 345'600'000;
  gps.more_follows = true;
  rtcm::RawLegacyGlonass glonass;
  glonass.station_id = kReceiverId;
  glonass.day_ms = 10'782'000;
  Composer composer = with_broadcast();
  const Bytes out = fed(composer, {framed(gps), framed(glonass)}, 0);
  EXPECT_EQ(types_of(out), (Types{1004, 1012, 1005}));
  const auto p = positions_in(out).at(0);
  EXPECT_TRUE(p.gps);
  EXPECT_TRUE(p.glonass);
  EXPECT_FALSE(p.galileo);
}

TEST(Insertion, AnEpochWhoseLastMessageWasLostDoesNotHoldThingsUp) {
  Composer composer = with_broadcast();
  fed(composer, epoch_frames(0, {kGps}), 0);
  Frames cut = epoch_frames(10, {kGps, kGlonass});
  cut.pop_back();
  EXPECT_EQ(types_of(fed(composer, cut, 9.9)), (Types{1077}));
  EXPECT_EQ(types_of(fed(composer, epoch_frames(11, {kGps, kGlonass}), 11)),
            (Types{1005, 1077, 1087}));
}

TEST(Insertion, AReceiverThatNeverEndsAnEpochIsWaitedForFiveSeconds) {
  Composer composer = with_broadcast();
  Frames open = epoch_frames(0, {kGps, kGlonass});
  open.pop_back();
  EXPECT_EQ(types_of(fed(composer, open, 0)), (Types{1077}));
  Bytes out;
  composer.on_quiet(4.9, kStart, out);
  EXPECT_TRUE(out.empty());
  composer.on_quiet(12, kStart, out);
  EXPECT_EQ(types_of(out), (Types{1005}));
}

TEST(Insertion, AStreamWithoutObservationsIsServedToo) {
  Composer composer = with_broadcast({.position_every_s = 10});
  EXPECT_EQ(types_of(fed(composer, {ephemeris_frame()}, 0)), (Types{1019}));
  EXPECT_EQ(types_of(fed(composer, {ephemeris_frame()}, 9)), (Types{1019}));
  EXPECT_EQ(types_of(fed(composer, {ephemeris_frame()}, 10)),
            (Types{1005, 1019}));
}

TEST(Insertion, AShutGateSendsNoneAndAnOpenedOneAtOnce) {
  Composer composer = with_broadcast({.position_every_s = 3600});
  composer.set_gate(true, false);
  EXPECT_EQ(types_of(fed(composer, epoch_frames(0, {kGps}), 0)), (Types{1077}));
  composer.set_gate(true, true);
  EXPECT_EQ(types_of(fed(composer, epoch_frames(1, {kGps}), 1)),
            (Types{1005, 1077}));
  composer.set_gate(true, false);
  EXPECT_EQ(types_of(fed(composer, epoch_frames(2, {kGps}), 2)), (Types{1077}));
  composer.set_gate(true, true);
  EXPECT_EQ(types_of(fed(composer, epoch_frames(3, {kGps}), 3)),
            (Types{1005, 1077}));
}

TEST(Insertion, TheHeightOverTheMarkerMakesItA1006) {
  Composer composer = with_broadcast({}, 1.2345);
  const auto own = positions_in(fed(composer, epoch_frames(0, {kGps}), 0));
  ASSERT_EQ(own.size(), 1U);
  EXPECT_EQ(own[0].type, 1006);
  EXPECT_EQ(own[0].antenna_height, 12345);
}

TEST(Insertion, ThePositionNamesTheSystemsThatAreServed) {
  Composer composer = with_broadcast({.drop = {1097}, .position_every_s = 600});
  const auto first = positions_in(
      fed(composer, epoch_frames(0, {kGps, kGalileo, kBeidou}), 0));
  ASSERT_EQ(first.size(), 1U);
  EXPECT_TRUE(first[0].gps);
  EXPECT_FALSE(first[0].glonass);
  EXPECT_FALSE(first[0].galileo) << "left out";
  EXPECT_FALSE(first[0].computed);
  // One more, and it is said soon.
  Bytes out;
  for (double t_s = 1; t_s < 4; ++t_s) {
    const Bytes now = fed(composer, epoch_frames(t_s, {kGps, kGlonass}), t_s);
    out.insert(out.end(), now.begin(), now.end());
  }
  ASSERT_EQ(positions_in(out).size(), 1U);
  EXPECT_TRUE(positions_in(out)[0].glonass);
  // One less, and it is not said for ever.
  for (double t_s = 4; t_s < 130; ++t_s) {
    const Bytes now = fed(composer, epoch_frames(t_s, {kGps}), t_s);
    out.insert(out.end(), now.begin(), now.end());
  }
  ASSERT_EQ(positions_in(out).size(), 2U);
  EXPECT_FALSE(positions_in(out)[1].glonass);
}

TEST(Insertion, OurFramesCarryTheIdOfTheObservations) {
  Composer composer = with_broadcast();
  composer.set_notice("hello");
  rtcm::RawText text;
  text.station_id = 77;
  Frames in = epoch_frames(0, {kGps}, 1234);
  in.insert(in.begin(), framed(text));
  fed(composer, in, 0);
  const Frames out =
      frames_of(fed(composer, epoch_frames(70, {kGps}, 1234), 70));
  ASSERT_EQ(out.size(), 3U);
  EXPECT_EQ(decoded<rtcm::RawStationPosition>(out[0]).station_id, 1234);
  EXPECT_EQ(decoded<rtcm::RawText>(out[1]).station_id, 1234);
  Composer renamed = with_broadcast({.station_id = 9});
  EXPECT_EQ(positions_in(fed(renamed, in, 0)).at(0).station_id, 9);
}

TEST(Insertion, NoticesComeAtOnceAndAgainUntilTheyAreTakenBack) {
  Composer composer;
  composer.set_notice("Doubtful: few satellites are tracked.");
  std::vector<double> at_s;
  for (double t_s = 0; t_s < 130; ++t_s) {
    if (t_s == 125) {
      composer.set_notice("");
    }
    composer.set_notice(t_s < 125 ? "Doubtful: few satellites are tracked."
                                  : "");
    const auto out = frames_of(
        fed(composer, epoch_frames(t_s, {kGps}), t_s, kStart + Duration{t_s}));
    if (out.size() > 1) {
      at_s.push_back(t_s);
    }
  }
  EXPECT_EQ(at_s, (std::vector<double>{0, 60, 120}));
}

TEST(Insertion, TextsThatChangeAllTheTimeAreSentOnceASecondAtMost) {
  Composer composer;
  int notices = 0;
  for (int i = 0; i < 100; ++i) {
    composer.set_notice("number " + std::to_string(i));
    const double t_s = 0.1 * i;
    const auto out = types_of(fed(composer, epoch_frames(t_s, {kGps}), t_s));
    notices += static_cast<int>(out.size()) - 1;
  }
  EXPECT_EQ(notices, 10);
}

TEST(Insertion, WithoutATimeThereIsNoNotice) {
  Composer composer;
  composer.set_notice("hello");
  EXPECT_EQ(types_of(fed(composer, epoch_frames(0, {kGps}), 0, std::nullopt)),
            (Types{1077}));
  EXPECT_EQ(types_of(fed(composer, epoch_frames(1, {kGps}), 1)),
            (Types{1029, 1077}));
}

TEST(Insertion, WhatIsDueGoesOutWhileTheReceiverIsSilent) {
  Composer composer = with_broadcast();
  fed(composer, epoch_frames(0, {kGps}), 0);
  composer.set_notice("Doubtful: no fresh observations from the receiver.");
  Bytes out;
  composer.on_quiet(9, kStart, out);
  EXPECT_EQ(types_of(out), (Types{1029}));
  composer.on_quiet(10, kStart, out);
  EXPECT_EQ(types_of(out), (Types{1029, 1005}));
  EXPECT_EQ(composer.counts().inserted, 3U);
}

}  // namespace
}  // namespace stillpoint::compose

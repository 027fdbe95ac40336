#include "stillpoint/rtcm/week_finder.h"

#include <gtest/gtest.h>

namespace stillpoint::rtcm {
namespace {

constexpr int kWeek = 2340;
const GnssTime kNow = GnssTime::from_gps_week(kWeek, 100'000);

TEST(WeekFinder, ADayThatSomebodyNamedDecides) {
  WeekFinder finder(kNow);
  EXPECT_TRUE(finder.known());
  EXPECT_EQ(finder.near(), kNow);
  EXPECT_EQ(finder.ephemeris(kWeek - 100, true), 0);
  EXPECT_EQ(finder.near(), kNow);
}

TEST(WeekFinder, WithoutAnythingTheWeekIsNotKnown) {
  EXPECT_FALSE(WeekFinder({}).known());
}

TEST(WeekFinder, TheReceiveTimeIsAHintThatEphemeridesOutrank) {
  WeekFinder finder({});
  finder.received(kNow);
  EXPECT_TRUE(finder.known());
  EXPECT_EQ(finder.near(), kNow);
  finder.epoch(kNow + Duration{3});
  EXPECT_EQ(finder.ephemeris(kWeek - 5, false), -5);
  EXPECT_EQ(finder.near().week(), kWeek - 5);
  EXPECT_EQ(finder.ephemeris(kWeek - 5, false), 0);
}

TEST(WeekFinder, AnEphemerisBeforeTheFirstEpochTellsItsWeek) {
  WeekFinder finder({});
  EXPECT_EQ(finder.ephemeris(kWeek, false), 0);
  EXPECT_TRUE(finder.known());
  EXPECT_EQ(finder.near().week(), kWeek);
}

TEST(WeekFinder, EpochsBeforeTheFirstEphemerisAreMoved) {
  WeekFinder finder({});
  const int own = finder.near().week();
  finder.epoch(GnssTime::from_gps_week(own, 10));
  EXPECT_EQ(finder.ephemeris(kWeek, true), kWeek - own);
  EXPECT_EQ(finder.near(), GnssTime::from_gps_week(kWeek, 10));
}

TEST(WeekFinder, OneStaleSetDoesNotOutvoteTheOthers) {
  WeekFinder finder({});
  finder.received(kNow);
  finder.epoch(kNow);
  EXPECT_EQ(finder.ephemeris(kWeek, false), 0);
  EXPECT_EQ(finder.ephemeris(kWeek - 1, false), 0);
  EXPECT_EQ(finder.ephemeris(kWeek - 1, false), -1);  // two against one
  finder.epoch(kNow - Duration{7 * 86'400.0});
  for (int i = 0; i < 2; ++i) {
    finder.ephemeris(kWeek, false);
  }
  EXPECT_EQ(finder.near(), kNow);
}

TEST(WeekFinder, WholeWeeksOutrankTenBitOnes) {
  WeekFinder finder({});
  finder.epoch(GnssTime::from_gps_week(kWeek, 10));
  for (int i = 0; i < 9; ++i) {
    finder.ephemeris(kWeek + 1024, false);
  }
  EXPECT_EQ(finder.near().week(), kWeek + 1024);
  EXPECT_EQ(finder.ephemeris(kWeek, true), -1024);
  EXPECT_EQ(finder.era({}).week(), kWeek);
}

TEST(WeekFinder, AWeekPassesWithoutAMove) {
  WeekFinder finder({});
  finder.epoch(GnssTime::from_gps_week(kWeek, 604'799));
  finder.ephemeris(kWeek, true);
  finder.epoch(GnssTime::from_gps_week(kWeek + 1, 0));
  EXPECT_EQ(finder.ephemeris(kWeek + 1, true), 0);
}

TEST(WeekFinder, AnEphemerisIsReadNearTheTimeOfTheStream) {
  WeekFinder finder({});
  finder.epoch(GnssTime::from_gps_week(1000, 604'000));
  EXPECT_EQ(finder.near_ephemeris(kWeek),
            GnssTime::from_gps_week(kWeek, 604'000));
}

}  // namespace
}  // namespace stillpoint::rtcm

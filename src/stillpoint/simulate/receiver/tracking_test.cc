#include "stillpoint/simulate/receiver/tracking.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr double kStrong = 45;

// kind: cross   source: a Poisson process has as many events as its rate says
// tolerance: four sigma of the count
TEST(SignalTrack, SlipsAsOftenAsItsRateSays) {
  int slips = 0, flagged = 0;
  for (std::uint64_t k = 0; k < 50; ++k) {
    SignalTrack track({1, k});
    const TrackingRules rules{.slips_per_hour = 2, .unflagged_share = 0.25};
    for (int t = 0; t < 36'000; t += 30) {
      const auto state = track.next(t, kStrong, rules, 0);
      slips += state.slipped ? 1 : 0;
      flagged += state.flagged ? 1 : 0;
    }
  }
  EXPECT_NEAR(slips, 1000, 130);
  EXPECT_NEAR(flagged, 0.75 * slips, 60);
}

TEST(SignalTrack, SamplingDoesNotChangeWhenItSlips) {
  const TrackingRules rules{.slips_per_hour = 3};
  SignalTrack often({5, 9}), seldom({5, 9});
  const double started = often.next(0, kStrong, rules, 0).ambiguity_cyc -
                         seldom.next(0, kStrong, rules, 0).ambiguity_cyc;
  EXPECT_EQ(started, 0);
  for (int t = 30; t <= 7200; t += 30) {
    double fine = 0;
    for (int s = t - 29; s <= t; ++s) {
      fine = often.next(s, kStrong, rules, 0).ambiguity_cyc;
    }
    EXPECT_EQ(seldom.next(t, kStrong, rules, 0).ambiguity_cyc, fine) << t;
  }
}

TEST(SignalTrack, LostSignalComesBackStrongerAndOnAnotherAmbiguity) {
  const TrackingRules rules{.least_dbhz = 30};
  SignalTrack track({2, 2});
  const auto first = track.next(0, 31, rules, 0);
  EXPECT_TRUE(first.tracked);
  EXPECT_FALSE(first.slipped);
  EXPECT_FALSE(track.next(1, 29, rules, 0).tracked);
  EXPECT_FALSE(track.next(2, 31, rules, 0).tracked);
  const auto back = track.next(3, 33, rules, 0);
  EXPECT_TRUE(back.tracked);
  EXPECT_TRUE(back.flagged);
  EXPECT_NE(back.ambiguity_cyc, first.ambiguity_cyc);
  EXPECT_TRUE(track.next(4, 31, rules, 0).tracked);
}

}  // namespace
}  // namespace stillpoint::simulate

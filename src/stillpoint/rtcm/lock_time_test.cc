#include "stillpoint/rtcm/lock_time.h"

#include <gtest/gtest.h>

#include <array>
#include <utility>

namespace stillpoint::rtcm {
namespace {

// kind: published (values from memory of RTCM 10403.3, as in the shared checks)
// source: RTCM 10403.3 table of DF407, rtcm_locktime.json   tolerance: 0 ms
TEST(LockTime, FineCodesStandForTheTablesTimes) {
  constexpr std::array<std::pair<unsigned, std::int64_t>, 15> kTable{
      {{0, 0},
       {1, 1},
       {63, 63},
       {64, 64},
       {95, 126},
       {96, 128},
       {127, 252},
       {128, 256},
       {599, 7208960},
       {617, 10747904},
       {642, 17825792},
       {643, 18350080},
       {667, 30932992},
       {703, 66060288},
       {704, 67108864}}};
  for (const auto& [code, ms] : kTable) {
    EXPECT_EQ(fine_lock_range(code).at_least_ms, ms) << code;
  }
}

// kind: published (from memory)   source: as above, table of DF402
TEST(LockTime, CoarseCodesDouble) {
  EXPECT_EQ(coarse_lock_range(0).at_least_ms, 0);
  EXPECT_EQ(coarse_lock_range(0).below_ms, 32);
  for (unsigned i = 1; i < 15; ++i) {
    EXPECT_EQ(coarse_lock_range(i).at_least_ms, std::int64_t{32} << (i - 1));
    EXPECT_EQ(coarse_lock_range(i).below_ms, std::int64_t{32} << i);
  }
  EXPECT_EQ(coarse_lock_range(15).at_least_ms, 524288);
}

// kind: cross, each range begins where the one before ends
TEST(LockTime, RangesJoinWithoutAGap) {
  for (unsigned i = 0; i < 704; ++i) {
    EXPECT_EQ(fine_lock_range(i).below_ms, fine_lock_range(i + 1).at_least_ms);
  }
  EXPECT_EQ(fine_lock_range(900).at_least_ms, fine_lock_range(704).at_least_ms);
}

TEST(LockTime, CodesAreTheFirstThatReachTheTime) {
  for (std::int64_t ms = 0; ms < 70'000'000; ms += 1 + ms / 97) {
    const unsigned code = fine_lock_code(ms);
    if (code < 704) {
      EXPECT_GE(fine_lock_range(code).at_least_ms, ms);
    }
    if (code > 0) {
      EXPECT_LT(fine_lock_range(code - 1).at_least_ms, ms);
    }
  }
  EXPECT_EQ(coarse_lock_code(0), 0U);
  EXPECT_EQ(coarse_lock_code(33), 2U);
  EXPECT_EQ(coarse_lock_code(1'000'000'000), 15U);
}

TEST(LossOfLock, ALockThatGrowsAsTimePassesIsKept) {
  for (std::int64_t step : {100, 1000, 30'000}) {
    std::int64_t before = 0;
    for (std::int64_t t = step; t < 100'000'000; t += step) {
      const LockRange now = fine_lock_range(fine_lock_code(t));
      ASSERT_FALSE(may_have_lost_lock(before, now, step)) << t << ' ' << step;
      before = now.at_least_ms;
    }
  }
}

TEST(LossOfLock, AShorterLockIsALoss) {
  EXPECT_TRUE(may_have_lost_lock(
      60'000, fine_lock_range(fine_lock_code(30'000)), 1000));
}

TEST(LossOfLock, ALockAsOldAsTheOldOneButNotGrownIsALoss) {
  // 10 s before, at most 10.24 s now: a second is missing.
  const LockRange now{10'000, 10'240};
  EXPECT_TRUE(may_have_lost_lock(10'000, now, 1000));
}

TEST(LossOfLock, ALockYoungerThanTheIntervalIsALoss) {
  EXPECT_TRUE(
      may_have_lost_lock(0, fine_lock_range(fine_lock_code(10'000)), 30'000));
}

}  // namespace
}  // namespace stillpoint::rtcm

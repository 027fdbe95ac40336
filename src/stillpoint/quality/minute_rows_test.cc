#include "stillpoint/quality/minute_rows.h"

#include <gtest/gtest.h>

#include "stillpoint/quality/quality_test_support.h"

namespace stillpoint::quality {
namespace {

const GnssTime kMinute = GnssTime::from_gps_week(2340, 345'600);
const GnssTime kNext = GnssTime::from_gps_week(2340, 345'660);

TEST(MinuteOf, IsTheWholeMinuteBefore) {
  EXPECT_EQ(minute_of(kStart), kMinute);
  EXPECT_EQ(minute_of(kMinute), kMinute);
  EXPECT_EQ(minute_of(kNext), kNext);
  // Before 1980, as a board without a clock may say.
  EXPECT_EQ(minute_of(GnssTime::from_ns(-1)).ns(), -60 * GnssTime::kNsPerS);
}

TEST(MinuteRows, GathersAMinuteInFiveNumbers) {
  MinuteRows rows;
  rows.add("a", at(0), 3);
  rows.add("b", at(1), -1);
  rows.add("a", at(2), 5);
  rows.add("a", at(3), 4, 10);
  const auto taken = rows.take(kNext);
  ASSERT_EQ(taken.size(), 2U);
  EXPECT_EQ(taken[0], (MinuteRow{"a", kMinute, 12, 48, 3, 5}));
  EXPECT_EQ(taken[1], (MinuteRow{"b", kMinute, 1, -1, -1, -1}));
  EXPECT_TRUE(rows.take(kNext).empty());
}

TEST(MinuteRows, AMinuteInWorkIsNotTaken) {
  MinuteRows rows;
  rows.add("a", at(0), 1);
  EXPECT_TRUE(rows.take(kNext - Duration{0.001}).empty());
  EXPECT_EQ(rows.take(kNext).size(), 1U);
}

TEST(MinuteRows, AnotherMinuteCompletesTheOneBefore) {
  MinuteRows rows;
  rows.add("a", at(0), 1);
  rows.add("a", at(10), 2);  // the next minute begins
  const auto taken = rows.take(at(0));
  ASSERT_EQ(taken.size(), 1U);
  EXPECT_EQ(taken[0].minute, kMinute);
  EXPECT_EQ(rows.take(at(70))[0], (MinuteRow{"a", kNext, 1, 2, 2, 2}));
}

TEST(MinuteRows, ASampleThatComesLateIsAPartOfItsOwn) {
  MinuteRows rows;
  rows.add("a", at(0), 1);
  EXPECT_EQ(rows.take(kNext).size(), 1U);
  rows.add("a", at(1), 7);
  EXPECT_EQ(rows.take(kNext)[0], (MinuteRow{"a", kMinute, 1, 7, 7, 7}));
}

TEST(MinuteRows, RowsThatNobodyTakesAreLostAndCounted) {
  MinuteRows rows;
  const int minutes = static_cast<int>(MinuteRows::kMostWaiting) + 5;
  for (int k = 0; k < minutes; ++k) {
    rows.add("a", at(60.0 * k), k);
  }
  const auto taken = rows.take(at(60.0 * minutes));
  EXPECT_EQ(taken.size(), MinuteRows::kMostWaiting);
  EXPECT_EQ(taken.front().sum, 5);
  EXPECT_EQ(rows.lost(), 5U);
}

TEST(MinuteRows, MoveByWeeks) {
  MinuteRows rows;
  rows.add("a", at(0), 1);
  rows.add("a", at(20), 2);
  rows.move(3);
  const auto taken = rows.take(at(100 + 3 * 604'800.0));
  ASSERT_EQ(taken.size(), 2U);
  EXPECT_EQ(taken[0].minute, kMinute + Duration{3 * 604'800.0});
  EXPECT_EQ(taken[1].minute, kNext + Duration{3 * 604'800.0});
}

}  // namespace
}  // namespace stillpoint::quality

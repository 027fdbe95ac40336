#include "stillpoint/store/minutes.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/store/store_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

class MinutesTest : public ::testing::Test {
 protected:
  test::TempFolder folder_;
  Store store_ = test::open_or_stop(folder_ / "station.db");
  Minutes& minutes_ = store_.minutes();

  static MinuteAggregate values(int minute, double base = 40) {
    return {test::at_minute(minute), 60, 60 * base, base - 2, base + 2};
  }
  std::vector<MinuteAggregate> read(int first, int end) {
    return minutes_
        .read("cn0_dbhz.G.1C", test::at_minute(first), test::at_minute(end))
        .value();
  }
};

constexpr const char* kName = "cn0_dbhz.G.1C";

TEST_F(MinutesTest, ComeBackByNameAndTimeOldestFirst) {
  const NamedMinute batch[] = {{kName, values(3)},
                               {"rovers_count", values(2)},
                               {kName, values(1)},
                               {kName, values(2)}};
  ASSERT_TRUE(minutes_.add(batch));
  EXPECT_EQ(read(1, 3), (std::vector{values(1), values(2)}));
  EXPECT_EQ(read(3, 9), std::vector{values(3)});
  EXPECT_EQ(read(4, 9), std::vector<MinuteAggregate>{});
  EXPECT_EQ(minutes_.names().value(),
            (std::vector<std::string>{kName, "rovers_count"}));
}

// kind: cross   the aggregate of all samples is the join of two parts' ones
// tolerance: none, sums of whole numbers
TEST_F(MinutesTest, PartsOfAMinuteAreJoined) {
  const GnssTime at = test::at_second(60);
  const NamedMinute parts[] = {{kName, {at, 2, 70, 30, 40}},
                               {kName, {at, 3, 120, 35, 45}},
                               {kName, {at, 1, 25, 25, 25}}};
  ASSERT_TRUE(minutes_.add(std::span(parts).first(2)));
  ASSERT_TRUE(minutes_.add(std::span(parts).last(1)));
  EXPECT_EQ(read(0, 9), (std::vector{MinuteAggregate{at, 6, 215, 25, 45}}));
}

TEST_F(MinutesTest, ABatchWithOneBadMinuteIsRefusedWhole) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  MinuteAggregate half = values(2);
  half.minute = GnssTime::from_ns(half.minute.ns() + 1);
  const GnssTime at = test::at_second(120);
  const NamedMinute bad[] = {{kName, half},
                             {kName, {at, 0, 1, 1, 1}},
                             {kName, {at, 1, nan, 1, 1}},
                             {kName, {at, 1, 1, -inf, 1}},
                             {kName, {at, 1, 1, 1, inf}},
                             {kName, {at, 1, 1, 2, 1}},
                             {"", values(2)},
                             {"a\nb", values(2)},
                             {std::string(81, 'a'), values(2)}};
  for (const NamedMinute& one : bad) {
    const NamedMinute batch[] = {{kName, values(1)}, one};
    const Status added = minutes_.add(batch);
    ASSERT_FALSE(added);
    EXPECT_EQ(added.error().code, ErrorCode::kOutOfRange);
  }
  EXPECT_EQ(read(0, 9), std::vector<MinuteAggregate>{});
}

TEST_F(MinutesTest, AFailureInsideABatchUndoesAllOfIt) {
  ASSERT_EQ(test::foreign_sql(
                folder_ / "station.db",
                "CREATE TRIGGER jam BEFORE INSERT ON minutes WHEN NEW.count = "
                "7 BEGIN SELECT RAISE(ABORT, 'jammed'); END"),
            "");
  MinuteAggregate seven = values(2);
  seven.count = 7;
  const NamedMinute batch[] = {{kName, values(1)}, {kName, seven}};
  EXPECT_FALSE(minutes_.add(batch));
  EXPECT_EQ(read(0, 9), std::vector<MinuteAggregate>{});
  EXPECT_TRUE(minutes_.names()->empty());
  EXPECT_TRUE(minutes_.add(std::span(batch).first(1)));
  EXPECT_EQ(read(0, 9), std::vector{values(1)});
}

TEST_F(MinutesTest, OldOnesAreErasedUpToAnInstant) {
  const NamedMinute batch[] = {{kName, values(1)},
                               {kName, values(2)},
                               {kName, values(3)},
                               {"rovers_count", values(1)}};
  ASSERT_TRUE(minutes_.add(batch));
  EXPECT_EQ(minutes_.erase_before(test::at_second(120)).value(), 2);
  EXPECT_EQ(read(0, 9), (std::vector{values(2), values(3)}));
  EXPECT_EQ(minutes_.erase_before(test::at_second(120)).value(), 0);
}

TEST_F(MinutesTest, KeepInstantsAfter2038) {
  MinuteAggregate late = values(0);
  late.minute = *parse_time("2038-01-19T03:15:00");
  MinuteAggregate later = late;
  later.minute = *parse_time("2150-06-01T00:00:00");
  const NamedMinute batch[] = {{kName, later}, {kName, late}};
  ASSERT_TRUE(minutes_.add(batch));
  EXPECT_EQ(
      minutes_
          .read(kName, late.minute, GnssTime::from_ns(later.minute.ns() + 1))
          .value(),
      (std::vector{late, later}));
}

TEST_F(MinutesTest, AnAnswerIsBounded) {
  std::vector<NamedMinute> batch;
  batch.reserve(Minutes::kMostMinutes + 1);
  for (std::size_t i = 0; i <= Minutes::kMostMinutes; ++i) {
    batch.push_back({kName, values(static_cast<int>(i))});
  }
  ASSERT_TRUE(minutes_.add(batch));
  const int most = static_cast<int>(Minutes::kMostMinutes);
  EXPECT_EQ(read(0, most).size(), Minutes::kMostMinutes);
  const auto refused =
      minutes_.read(kName, test::at_second(0), test::at_minute(most + 1));
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kTooLarge);
}

}  // namespace
}  // namespace stillpoint

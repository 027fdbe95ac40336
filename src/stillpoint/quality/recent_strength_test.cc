#include "stillpoint/quality/recent_strength.h"

#include <gtest/gtest.h>

#include "stillpoint/quality/quality_test_support.h"

namespace stillpoint::quality {
namespace {

TEST(RecentStrength, ForgetsWhatIsAMinuteOld) {
  RecentStrength strength;
  EXPECT_FALSE(strength.up_to(at(0)));
  strength.add(at(0), 20);
  strength.add(at(1), 30);
  EXPECT_EQ(strength.up_to(at(59))->mean_dbhz, 25);
  EXPECT_FALSE(strength.up_to(at(60)));
  strength.add(at(60), 40);  // where those of a minute ago were
  EXPECT_EQ(strength.up_to(at(60))->mean_dbhz, 40);
  EXPECT_EQ(strength.up_to(at(60))->min_dbhz, 40);
}

TEST(RecentStrength, AClockSetBackLeavesTheFutureOut) {
  RecentStrength strength;
  strength.add(at(1000), 50);
  strength.add(at(3), 30);
  EXPECT_EQ(strength.up_to(at(3))->mean_dbhz, 30);
}

TEST(RecentStrength, WorksBefore1980) {
  RecentStrength strength;
  const GnssTime early = GnssTime::from_ns(-3'000'000'000);
  strength.add(early, 30);
  EXPECT_EQ(strength.up_to(early)->mean_dbhz, 30);
  // Zero lies in the step behind.
  strength.add(GnssTime(), 40);
  EXPECT_EQ(strength.up_to(early)->mean_dbhz, 30);
  EXPECT_EQ(strength.up_to(GnssTime())->mean_dbhz, 35);
}

TEST(RecentStrength, MovesByWeeks) {
  RecentStrength strength;
  strength.add(at(0), 30);
  strength.move(2);
  EXPECT_FALSE(strength.up_to(at(0)));
  EXPECT_EQ(strength.up_to(at(2 * 604'800.0))->mean_dbhz, 30);
}

}  // namespace
}  // namespace stillpoint::quality

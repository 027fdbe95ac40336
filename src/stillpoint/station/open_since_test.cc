#include "stillpoint/station/open_since.h"

#include <gtest/gtest.h>

namespace stillpoint::station {
namespace {

using std::chrono::seconds;

TEST(OpenSince, CountsFromTheEndOfABreakThatWasTold) {
  OpenSince since;
  EXPECT_FALSE(since.look(true, seconds{0}));  // no break yet
  EXPECT_FALSE(since.look(false, seconds{100}));
  EXPECT_FALSE(since.look(false, seconds{109}));
  EXPECT_EQ(since.look(true, seconds{110}), 0.0);
  EXPECT_EQ(since.look(true, seconds{115}), 5.0);
}

// A line that comes and goes every few seconds, without an epoch.
TEST(OpenSince, ShortBreaksBeginNothingAnew) {
  OpenSince since;
  since.look(false, seconds{0});
  EXPECT_EQ(since.look(true, seconds{20}), 0.0);
  for (int t_s = 21; t_s < 100; t_s += 10) {
    EXPECT_FALSE(since.look(false, seconds{t_s}));
    EXPECT_EQ(since.look(true, seconds{t_s + 9}), t_s + 9.0 - 20);
  }
}

TEST(OpenSince, WithoutALongBreakItIsNotKnown) {
  OpenSince since;
  for (int t_s = 0; t_s < 100; t_s += 10) {
    EXPECT_FALSE(since.look(false, seconds{t_s}));
    EXPECT_FALSE(since.look(true, seconds{t_s + 9}));
  }
}

}  // namespace
}  // namespace stillpoint::station

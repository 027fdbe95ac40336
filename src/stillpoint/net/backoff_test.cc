#include "stillpoint/net/backoff.h"

#include <gtest/gtest.h>

#include "stillpoint/net/retry.h"

namespace stillpoint::net {
namespace {

TEST(Backoff, DoublesUpToTheLongestWait) {
  Backoff backoff(1, 10);
  for (const double expected : {1, 2, 4, 8, 10, 10}) {
    EXPECT_EQ(backoff.next(0), expected);
  }
}

TEST(Backoff, TakesUpToHalfOff) {
  Backoff backoff(4, 8);
  EXPECT_EQ(backoff.next(0.5), 3);
  EXPECT_GT(backoff.next(0.999), 4);
}

TEST(Backoff, BeginsAgainAfterASuccess) {
  Backoff backoff(1, 10);
  backoff.next(0);
  backoff.next(0);
  backoff.reset();
  EXPECT_EQ(backoff.next(0), 1);
}

TEST(Backoff, SenselessWaitsAreMadeSensible) {
  Backoff negative(-1, -5);
  EXPECT_EQ(negative.next(0), 0);
  EXPECT_EQ(negative.next(0), 0);
  Backoff upside_down(5, 1);
  EXPECT_EQ(upside_down.next(0), 5);
  EXPECT_EQ(upside_down.next(0), 5);
}

TEST(Retry, OwnSettingsAreTriedAgainOnlyAfterTheyWorked) {
  const auto error = [](ErrorCode code) { return Error{code, "", "", ""}; };
  for (const bool worked : {false, true}) {
    EXPECT_TRUE(is_worth_retrying(error(ErrorCode::kIo), worked));
    EXPECT_TRUE(is_worth_retrying(error(ErrorCode::kTooLarge), worked));
    EXPECT_EQ(is_worth_retrying(error(ErrorCode::kConfig), worked), worked);
    EXPECT_FALSE(is_worth_retrying(error(ErrorCode::kUsage), worked));
    EXPECT_FALSE(is_worth_retrying(error(ErrorCode::kUnsupported), worked));
  }
}

}  // namespace
}  // namespace stillpoint::net

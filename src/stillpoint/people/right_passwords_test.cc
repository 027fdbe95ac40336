#include "stillpoint/people/right_passwords.h"

#include <gtest/gtest.h>

namespace stillpoint::people {
namespace {

using std::chrono::hours;
using std::chrono::nanoseconds;

class RightPasswordsTest : public ::testing::Test {
 protected:
  RightPasswords passwords_;
  nanoseconds now_ = hours{7};

  bool holds(std::string_view user,
             std::string_view hash,
             std::string_view password,
             nanoseconds now) {
    return passwords_.holds(user, passwords_.digest(user, hash, password), now);
  }
  void remember(std::string_view user,
                std::string_view hash,
                std::string_view password) {
    passwords_.remember(user, passwords_.digest(user, hash, password), now_);
  }
};

TEST_F(RightPasswordsTest, AreHeldForAnHour) {
  EXPECT_FALSE(holds("club-guest", "hash", "word", now_));
  remember("club-guest", "hash", "word");
  EXPECT_TRUE(holds("club-guest", "hash", "word", now_));
  EXPECT_TRUE(
      holds("club-guest", "hash", "word", now_ + hours{1} - nanoseconds{1}));
  EXPECT_FALSE(holds("club-guest", "hash", "word", now_ + hours{1}));
}

TEST_F(RightPasswordsTest, AreOfOneUserOneHashAndOnePassword) {
  remember("club-guest", "hash", "word");
  EXPECT_FALSE(holds("club-guest", "hash", "Word", now_));
  EXPECT_FALSE(holds("club-guest", "hash-2", "word", now_));
  EXPECT_FALSE(holds("tractor-2", "hash", "word", now_));
  EXPECT_FALSE(passwords_.holds(
      "tractor-2", passwords_.digest("club-guest", "hash", "word"), now_));
}

TEST_F(RightPasswordsTest, ANewOneTakesThePlaceOfTheOld) {
  remember("club-guest", "hash", "word");
  remember("club-guest", "hash-2", "new word");
  EXPECT_EQ(passwords_.size(), 1U);
  EXPECT_TRUE(holds("club-guest", "hash-2", "new word", now_));
  EXPECT_FALSE(holds("club-guest", "hash", "word", now_));
}

TEST_F(RightPasswordsTest, AreKeptInOtherBytesForEachUser) {
  EXPECT_NE(passwords_.digest("a", "hash", "word"),
            passwords_.digest("b", "hash", "word"));
}

TEST_F(RightPasswordsTest, MeanNothingToAnotherProcess) {
  const RightPasswords other;
  EXPECT_NE(passwords_.digest("a", "b", "c"), other.digest("a", "b", "c"));
}

TEST_F(RightPasswordsTest, AtMostAThousandAreKeptAndTheOldestGoes) {
  const auto name = [](std::size_t i) { return "user-" + std::to_string(i); };
  for (std::size_t i = 0; i < RightPasswords::kMost; ++i) {
    remember(name(i), "hash", "word");
    now_ += nanoseconds{1};
  }
  remember(name(1), "hash", "word");  // costs nobody the place
  EXPECT_TRUE(holds(name(0), "hash", "word", now_));
  remember(name(0), "hash", "word");  // no longer the oldest
  remember(name(1), "hash", "word");
  EXPECT_EQ(passwords_.size(), RightPasswords::kMost);
  remember("one more", "hash", "word");
  EXPECT_EQ(passwords_.size(), RightPasswords::kMost);
  EXPECT_FALSE(holds(name(2), "hash", "word", now_));
  EXPECT_TRUE(holds(name(0), "hash", "word", now_));
  EXPECT_TRUE(holds(name(3), "hash", "word", now_));
  EXPECT_TRUE(holds("one more", "hash", "word", now_));
}

}  // namespace
}  // namespace stillpoint::people

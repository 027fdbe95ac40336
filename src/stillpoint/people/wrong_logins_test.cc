#include "stillpoint/people/wrong_logins.h"

#include <gtest/gtest.h>

namespace stillpoint::people {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::nanoseconds;
using std::chrono::seconds;

constexpr std::string_view kAddress = "192.0.2.7";

class WrongLoginsTest : public ::testing::Test {
 protected:
  WrongLogins logins_;
  nanoseconds now_ = seconds{5000};

  void wrong(int times,
             std::string_view address = kAddress,
             std::string_view user = "club-guest") {
    for (int i = 0; i < times; ++i) {
      logins_.wrong(address, user, now_);
    }
  }
  // Held until just before so long after now.
  void expect_wait(nanoseconds wait) {
    EXPECT_TRUE(logins_.held(kAddress, now_));
    EXPECT_TRUE(logins_.held(kAddress, now_ + wait - nanoseconds{1}));
    EXPECT_FALSE(logins_.held(kAddress, now_ + wait));
  }
};

TEST_F(WrongLoginsTest, FourCostNothing) {
  wrong(4);
  EXPECT_FALSE(logins_.held(kAddress, now_));
  EXPECT_FALSE(logins_.held("192.0.2.8", now_));
}

TEST_F(WrongLoginsTest, TheWaitDoublesFromASecondToAMinute) {
  wrong(4);
  for (const int wait_s : {1, 2, 4, 8, 16, 32, 60, 60, 60}) {
    wrong(1);
    expect_wait(seconds{wait_s});
    now_ += seconds{wait_s};
  }
  wrong(100'000);
  expect_wait(seconds{60});
}

TEST_F(WrongLoginsTest, AreForgottenTenMinutesAfterTheLast) {
  wrong(4);
  now_ += minutes{10} - nanoseconds{1};
  wrong(1);
  expect_wait(seconds{1});
  now_ += minutes{10};
  wrong(4);
  EXPECT_FALSE(logins_.held(kAddress, now_));
}

TEST_F(WrongLoginsTest, ARightOneEndsTheRow) {
  wrong(4);
  logins_.right(kAddress, "club-guest");
  EXPECT_EQ(logins_.size(), 0U);
  wrong(4);
  EXPECT_FALSE(logins_.held(kAddress, now_));
}

// Else whoever has an account could guess at another's without end.
TEST_F(WrongLoginsTest, ARightOneUnderAnotherNameDoesNot) {
  wrong(4);
  logins_.right(kAddress, "tractor-2");
  wrong(1);
  expect_wait(seconds{1});
  logins_.right("192.0.2.8", "club-guest");
  expect_wait(seconds{1});
}

TEST_F(WrongLoginsTest, ARightOneDoesNotEndARowOfSeveralNames) {
  wrong(2, kAddress, "club-guest");
  wrong(1, kAddress, "tractor-2");
  wrong(1, kAddress, "club-guest");
  logins_.right(kAddress, "tractor-2");
  logins_.right(kAddress, "club-guest");
  wrong(1, kAddress, "tractor-2");
  expect_wait(seconds{1});
}

TEST_F(WrongLoginsTest, NamesOfAnyLengthTakeLittleMemory) {
  wrong(4, kAddress, std::string(100'000, 'x'));
  wrong(1, kAddress, std::string(64, 'x') + "y");
  expect_wait(seconds{1});
}

TEST_F(WrongLoginsTest, AnIpv6AddressStandsForItsNetwork) {
  wrong(3, "2001:db8:1:2::7");
  wrong(2, "2001:db8:1:2:ffff::8");
  EXPECT_TRUE(logins_.held("2001:db8:1:2::9", now_));
  EXPECT_FALSE(logins_.held("2001:db8:1:3::7", now_));
  EXPECT_EQ(logins_.size(), 1U);
}

TEST_F(WrongLoginsTest, EachIpv4AddressStandsForItself) {
  wrong(5, "::ffff:192.0.2.7");
  EXPECT_TRUE(logins_.held("::ffff:192.0.2.7", now_));
  EXPECT_FALSE(logins_.held("::ffff:192.0.2.8", now_));
}

TEST_F(WrongLoginsTest, WhenFullForgetsTheAddressThatWasQuietLongest) {
  const auto address = [](std::size_t i) {
    return "10.0." + std::to_string(i / 256) + "." + std::to_string(i % 256);
  };
  for (std::size_t i = 0; i < WrongLogins::kMostAddresses; ++i) {
    wrong(5, address(i));
    now_ += nanoseconds{1};
  }
  wrong(1, address(0));  // no longer the quietest
  EXPECT_EQ(logins_.size(), WrongLogins::kMostAddresses);
  EXPECT_TRUE(logins_.held(address(1), now_));
  now_ += nanoseconds{1};
  wrong(1, "192.0.2.1");
  EXPECT_EQ(logins_.size(), WrongLogins::kMostAddresses);
  EXPECT_FALSE(logins_.held(address(1), now_));
  EXPECT_TRUE(logins_.held(address(0), now_));
  EXPECT_TRUE(logins_.held(address(2), now_));
}

TEST_F(WrongLoginsTest, WhatIsNoAddressIsCountedAsItIsWritten) {
  const std::string text(10'000, 'x');
  wrong(5, text);
  wrong(5, "");
  EXPECT_TRUE(logins_.held(text, now_));
  EXPECT_TRUE(logins_.held("", now_));
  EXPECT_FALSE(logins_.held("y", now_));
}

}  // namespace
}  // namespace stillpoint::people

#include "stillpoint/people/guessing.h"

#include <gtest/gtest.h>

#include "stillpoint/people/refusal_log.h"

namespace stillpoint::people {
namespace {

using std::chrono::hours;
using std::chrono::nanoseconds;
using std::chrono::seconds;

class GuessingTest : public ::testing::Test {
 protected:
  static constexpr std::string_view kAddress = "192.0.2.7";
  Guessing guessing_;
  nanoseconds now_ = hours{1000};

  nanoseconds wait(std::string_view address = kAddress) {
    return guessing_.wait(address, now_);
  }
  void wrong(int times, std::string_view address = kAddress) {
    for (int i = 0; i < times; ++i) {
      guessing_.wrong(address, "alder", now_);
    }
  }
  static std::string address(int i) { return "10.0.0." + std::to_string(i); }
};

TEST_F(GuessingTest, ThreeAreFreeThenTheWaitDoublesUpToAnHour) {
  wrong(3);
  EXPECT_EQ(wait(), seconds{0});
  for (const int wait_s :
       {1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048, 3600, 3600}) {
    wrong(1);
    EXPECT_EQ(wait(), seconds{wait_s});
    EXPECT_EQ(wait("192.0.2.8"), seconds{0});
    now_ += seconds{wait_s};
    EXPECT_EQ(wait(), seconds{0});
  }
}

TEST_F(GuessingTest, AQuietDayIsForgotten) {
  wrong(10);
  now_ += hours{24} - nanoseconds{1};
  wrong(1);
  EXPECT_EQ(wait(), seconds{128});
  now_ += hours{24};
  wrong(3);
  EXPECT_EQ(wait(), seconds{0});
}

TEST_F(GuessingTest, ANetworkOfIpv6IsOneAddress) {
  wrong(2, "2001:db8:1:2::7");
  wrong(2, "2001:db8:1:2:ffff::8");
  EXPECT_EQ(wait("2001:db8:1:2::9"), seconds{1});
  EXPECT_EQ(wait("2001:db8:1:3::9"), seconds{0});
}

TEST_F(GuessingTest, TwentyInAMinuteFromEverywhereHoldEverybody) {
  for (int i = 0; i < 20; ++i) {
    EXPECT_EQ(wait("192.0.2.99"), seconds{0});
    wrong(1, address(i));
    now_ += seconds{2};
  }
  // The first was 40 s ago.
  EXPECT_EQ(wait("192.0.2.99"), seconds{20});
  now_ += seconds{20};
  EXPECT_EQ(wait("192.0.2.99"), seconds{0});
  wrong(1, "192.0.2.99");
  EXPECT_EQ(wait("192.0.2.98"), seconds{2});
  now_ += hours{1};
  EXPECT_EQ(wait("192.0.2.98"), seconds{0});
}

TEST_F(GuessingTest, OthersDoNotSlowWhoHasASession) {
  for (int i = 0; i < 20; ++i) {
    wrong(1, address(i));
  }
  EXPECT_GT(wait("192.0.2.99"), seconds{0});
  EXPECT_EQ(guessing_.wait_in_session("192.0.2.99", "alder", now_), seconds{0});
}

TEST_F(GuessingTest, AStolenSessionDoesNotGuessFromManyAddresses) {
  for (int i = 0; i < 5; ++i) {
    guessing_.wrong_in_session(address(i), "alder", now_);
  }
  EXPECT_EQ(guessing_.wait_in_session(address(9), "alder", now_), seconds{2});
  EXPECT_EQ(guessing_.wait_in_session(address(9), "birch", now_), seconds{0});
  // Nor does it hold others' logins.
  EXPECT_EQ(wait(address(9)), seconds{0});
  guessing_.right_in_session(address(9), "alder");
  EXPECT_EQ(guessing_.wait_in_session(address(9), "alder", now_), seconds{0});
}

class RefusalLogTest : public ::testing::Test {
 protected:
  RefusalLog log_;
  static GnssTime at(double second) {
    return GnssTime::from_gps_week(2400, second);
  }
};

TEST_F(RefusalLogTest, TenAnHourAreEntriesTheRestIsCounted) {
  for (int i = 0; i < 10; ++i) {
    EXPECT_TRUE(log_.admit(at(i)));
  }
  EXPECT_FALSE(log_.admit(at(11)));
  EXPECT_FALSE(log_.admit(at(3599)));
  EXPECT_EQ(log_.take_left_out(at(3599)), std::nullopt);
  EXPECT_EQ(log_.take_left_out(at(3600)), 2);
  EXPECT_EQ(log_.take_left_out(at(3600)), std::nullopt);
  EXPECT_TRUE(log_.admit(at(3601)));
}

TEST_F(RefusalLogTest, WhatIsNoEntryInAnyCaseTakesNoPlace) {
  for (int i = 0; i < 100; ++i) {
    log_.leave_out(at(0));
  }
  EXPECT_TRUE(log_.admit(at(1)));
  EXPECT_EQ(log_.take_left_out(at(4000)), 100);
}

TEST_F(RefusalLogTest, AClockThatWasSetBackBeginsAnHour) {
  for (int i = 0; i < 11; ++i) {
    log_.admit(at(50'000));
  }
  EXPECT_EQ(log_.take_left_out(at(10)), 1);
  EXPECT_TRUE(log_.admit(at(11)));
}

TEST_F(RefusalLogTest, NothingIsLeftOutAtFirst) {
  EXPECT_EQ(log_.take_left_out(at(0)), std::nullopt);
}

}  // namespace
}  // namespace stillpoint::people

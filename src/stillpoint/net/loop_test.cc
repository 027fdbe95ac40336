#include "stillpoint/net/loop.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <csignal>
#include <string>
#include <thread>
#include <vector>

#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using std::chrono::nanoseconds;

TEST(Loop, RunsUntilNothingIsLeftInOrderOfTime) {
  Loop loop;
  std::string order;
  loop.after(std::chrono::milliseconds{2}, [&] { order += "b"; });
  loop.after(nanoseconds{0}, [&] { order += "a"; });
  loop.run();
  EXPECT_EQ(order, "ab");
  EXPECT_FALSE(loop.stopped());
  loop.after(nanoseconds{0}, [&] { order += "c"; });
  loop.run();
  EXPECT_EQ(order, "abc");
}

TEST(Loop, OtherThreadsPostInOrder) {
  constexpr int kPosts = 1000;
  Loop loop;
  std::vector<int> seen;
  loop.after(std::chrono::hours{1}, [] {});  // so that run() waits
  std::thread other([&] {
    for (int i = 0; i < kPosts; ++i) {
      loop.post([&seen, i] { seen.push_back(i); });
    }
    loop.post([&loop] { loop.stop(); });
  });
  loop.run();
  other.join();
  ASSERT_EQ(seen.size(), std::size_t{kPosts});
  EXPECT_TRUE(std::is_sorted(seen.begin(), seen.end()));
}

TEST(Loop, WhatIsPostedBeforeARunIsCalledInIt) {
  Loop loop;
  bool called = false;
  loop.post([&] { called = true; });
  EXPECT_FALSE(called);
  loop.run();
  EXPECT_TRUE(called);
}

TEST(Loop, StopEndsTheRunAndTheNextGoesOn) {
  Loop loop;
  std::string order;
  loop.after(nanoseconds{0}, [&] { loop.stop(); });
  loop.after(std::chrono::milliseconds{1}, [&] { order += "later"; });
  loop.run();
  EXPECT_TRUE(loop.stopped());
  EXPECT_EQ(order, "");
  loop.run();
  EXPECT_FALSE(loop.stopped());
  EXPECT_EQ(order, "later");
}

TEST(Loop, StopBeforeARunEndsItAtOnce) {
  Loop loop;
  bool called = false;
  loop.after(nanoseconds{0}, [&] { called = true; });
  loop.stop();
  EXPECT_TRUE(loop.stopped());
  loop.run();
  EXPECT_FALSE(called);
  loop.run();
  EXPECT_TRUE(called);
}

TEST(Loop, RunForLeavesWhatIsNotDue) {
  Loop loop;
  bool called = false;
  loop.after(std::chrono::hours{1}, [&] { called = true; });
  loop.run_for(std::chrono::milliseconds{1});
  EXPECT_FALSE(called);
  EXPECT_FALSE(loop.stopped());
}

TEST(Loop, SignalsReachTheLastActionEachTime) {
  Loop loop;
  int first = 0, second = 0;
  loop.on_interrupt([&] { ++first; });
  loop.on_interrupt([&] { ++second; });
  ASSERT_EQ(std::raise(SIGINT), 0);
  EXPECT_TRUE(test::run_until(loop, [&] { return second == 1; }));
  ASSERT_EQ(std::raise(SIGTERM), 0);
  EXPECT_TRUE(test::run_until(loop, [&] { return second == 2; }));
  EXPECT_EQ(first, 0);
}

TEST(Loop, ASignalToReloadIsApartFromTheOneThatEnds) {
  Loop loop;
  int reloads = 0;
  loop.on_interrupt([&] { loop.stop(); });
  loop.on_hangup([&] {
    ++reloads;
    std::raise(reloads == 2 ? SIGTERM : SIGHUP);
  });
  std::raise(SIGHUP);
  loop.run();
  EXPECT_EQ(reloads, 2);
}

}  // namespace
}  // namespace stillpoint::net

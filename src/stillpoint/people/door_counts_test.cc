// Limits: of accounts, of mountpoints, and after a reload.
#include <gtest/gtest.h>

#include <string>
#include <thread>
#include <vector>

#include "stillpoint/people/door.h"
#include "stillpoint/people/door_test_support.h"

namespace stillpoint::people {
namespace {

TEST_F(DoorTest, AnAccountHasItsConnections) {
  users_["ditch-1"].max_connections = 2;
  const Question asked = question("ditch-1", token_.word);
  EXPECT_EQ(admission(asked), Admission::kAllowed);
  door_->came(1, "ditch-1", "LHOL");
  EXPECT_EQ(admission(asked), Admission::kAllowed);
  door_->came(2, "ditch-1", "LHOL");
  EXPECT_EQ(admission(asked), Admission::kTooMany);
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
  door_->went(1, 0, now_);
  EXPECT_EQ(admission(asked), Admission::kAllowed);
}

TEST_F(DoorTest, AnAccountHasItsBytesOfTheHour) {
  users_["club-guest"].max_bytes_per_hour = 1000;
  const Question asked = question("club-guest", "four words");
  EXPECT_EQ(ask(asked).remaining_bytes, 1000U);
  door_->came(1, "club-guest", "LHOL");
  door_->progress(1, 400, now_);
  EXPECT_EQ(ask(asked).remaining_bytes, 600U);
  door_->went(1, 1000, now_);
  EXPECT_EQ(admission(asked), Admission::kTooMany);
  now_ += std::chrono::hours{2};
  EXPECT_EQ(ask(asked).remaining_bytes, 1000U);
}

// The database allows none; a limit that is damaged must not become none.
TEST_F(DoorTest, ALimitBelowNoneLetsNobodyIn) {
  users_["ditch-1"].max_connections = -1;
  EXPECT_EQ(guess(token_.word, "ditch-1"), Admission::kTooMany);
}

TEST_F(DoorTest, AMountpointHoldsItsMost) {
  door_->set_config({{{"LHOL", false, 1}, {"OPEN", true, 1}}});
  EXPECT_EQ(admission(question("ditch-1", token_.word)), Admission::kAllowed);
  EXPECT_EQ(admission(question("ditch-1", token_.word)), Admission::kTooMany);
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kTooMany);
  door_->came(1, "ditch-1", "OPEN");
  door_->went(1, 0, now_);
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
}

TEST_F(DoorTest, AWrongLoginLearnsNothingOfLimits) {
  users_["ditch-1"].max_connections = 0;
  door_->set_config({{{"LHOL", false, 1}}});
  EXPECT_EQ(guess("four words"), Admission::kAllowed);  // now it is full
  EXPECT_EQ(guess("wrong", "ditch-1"), Admission::kWrongLogin);
  EXPECT_EQ(guess(token_.word, "ditch-1"), Admission::kTooMany);
}

TEST_F(DoorTest, AReloadCountsForTheNextOneAndKeepsWhoIsIn) {
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
  door_->came(1, "", "OPEN");
  door_->set_config({{{"OPEN", false, 1}, {"NEW", true, 0}}});
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kWrongLogin);
  EXPECT_EQ(admission(question("ditch-1", token_.word, "OPEN")),
            Admission::kTooMany);
  EXPECT_EQ(admission(question("", "", "NEW")), Admission::kAllowed);
  EXPECT_EQ(admission(question("ditch-1", token_.word)), Admission::kForbidden);
  door_->went(1, 0, now_);
  EXPECT_EQ(admission(question("ditch-1", token_.word, "OPEN")),
            Admission::kAllowed);
}

// All calls from several threads at a time; whatever their order, no place is
// lost and none is given twice. (The thread sanitizer has its say as well.)
TEST_F(DoorTest, PlacesAreExactWhateverTheThreads) {
  constexpr int kThreads = 4, kRounds = 200;
  users_["ditch-1"].max_connections = 3;
  std::atomic<int> in = 0, most_in = 0;
  std::vector<std::jthread> threads;
  threads.reserve(kThreads);
  for (int t = 0; t < kThreads; ++t) {
    threads.emplace_back([&, t] {
      for (int i = 0; i < kRounds; ++i) {
        const auto decision =
            door_->first(question("ditch-1", token_.word), now_);
        if (!decision || decision->admission != Admission::kAllowed) {
          continue;
        }
        const int here = ++in;
        int before = most_in;
        while (here > before && !most_in.compare_exchange_weak(before, here)) {
        }
        const auto session = static_cast<Door::SessionId>(t) * kRounds +
                             static_cast<Door::SessionId>(i);
        door_->came(session, "ditch-1", "LHOL");
        door_->progress(session, 10, now_);
        --in;
        door_->went(session, 20, now_);
        door_->set_config({{{"LHOL", false, 0}}});
      }
    });
  }
  threads.clear();
  EXPECT_LE(most_in, 3);
  for (int i = 0; i < 3; ++i) {
    EXPECT_EQ(admission(question("ditch-1", token_.word)), Admission::kAllowed);
  }
  EXPECT_EQ(admission(question("ditch-1", token_.word)), Admission::kTooMany);
}

TEST_F(DoorTest, WhoWasRemovedOrDisabledMayHaveNoMore) {
  ASSERT_EQ(admission(question("ditch-1", token_.word)), Admission::kAllowed);
  door_->came(1, "ditch-1", "LHOL");
  door_->renew();
  EXPECT_EQ(door_->progress(1, 100, now_), std::nullopt);
  users_["ditch-1"].enabled = false;
  door_->renew();
  EXPECT_EQ(door_->progress(1, 100, now_), 1U);
  users_["ditch-1"].enabled = true;
  door_->renew();
  EXPECT_EQ(door_->progress(1, 100, now_), std::nullopt);
  users_.erase("ditch-1");
  door_->renew();
  EXPECT_EQ(door_->progress(1, 100, now_), 1U);
}

}  // namespace
}  // namespace stillpoint::people

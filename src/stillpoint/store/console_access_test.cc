#include "stillpoint/store/console_access.h"

#include <gtest/gtest.h>

#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

class ConsoleAccessTest : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const std::filesystem::path path_ = folder_ / "station.db";
  Store store_ = test::open_or_stop(path_);
  ConsoleAccess& access_ = store_.console_access();
  const ChangeNote note_{test::at_second(5), "command line"};
  const User alder_{
      "alder", UserKind::kPerson, "hash-a", {}, {}, true, Role::kOwner};
  const User birch_{
      "birch", UserKind::kPerson, "hash-b", {}, {}, true, Role::kGuest};
  const ClaimRow claim_{"code-hash", test::at_second(0), test::at_second(3600)};
  const Arrival arrival_{"192.0.2.7", test::at_second(-100'000)};

  static SessionRow session_of(const std::string& user,
                               const std::string& hash,
                               std::int64_t second = 10) {
    return {hash,
            user,
            "csrf-" + hash,
            test::at_second(second),
            test::at_second(second),
            test::at_second(second + 1000)};
  }
  std::vector<std::string> log() {
    return test::texts(store_.logbook().read({}));
  }
  bool is_in(const std::string& hash) {
    return access_.session(hash).value().has_value();
  }
  Result<bool> take(const User& owner, const std::string& hash) {
    return access_.take_claim(
        "code-hash", owner, session_of(owner.name, hash), arrival_);
  }
};

TEST_F(ConsoleAccessTest, AClaimReplacesTheOneBefore) {
  EXPECT_EQ(access_.claim().value(), std::nullopt);
  ASSERT_TRUE(access_.open_claim(claim_, note_));
  EXPECT_EQ(access_.claim().value(), claim_);
  ClaimRow next = claim_;
  next.code_hash = "another";
  ASSERT_TRUE(access_.open_claim(next, note_));
  EXPECT_EQ(access_.claim().value(), next);
  EXPECT_EQ(log().size(), 2U);
  EXPECT_EQ(take(alder_, "s1").value(), false);
  EXPECT_EQ(access_.claim().value(), next);
}

TEST_F(ConsoleAccessTest, AClaimIsTakenOnceWithOwnerSessionAndEntries) {
  ASSERT_TRUE(access_.open_claim(claim_, note_));
  EXPECT_EQ(take(alder_, "s1").value(), true);
  EXPECT_EQ(access_.claim().value(), std::nullopt);
  EXPECT_EQ(store_.users().find("alder").value(), alder_);
  EXPECT_EQ(access_.session("s1").value(), session_of("alder", "s1"));
  User other = alder_;
  other.name = "cedar";
  EXPECT_EQ(take(other, "s2").value(), false);
  EXPECT_EQ(store_.users().find("cedar").value(), std::nullopt);
  EXPECT_FALSE(is_in("s2"));
  EXPECT_EQ(log(),
            (std::vector<std::string>{"the station was claimed by alder",
                                      "user alder added",
                                      "a code to claim the station was made"}));
}

TEST_F(ConsoleAccessTest, AnOwnerComesBackByAClaimAndOldSessionsEnd) {
  ASSERT_TRUE(store_.users().add(alder_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("alder", "old"), arrival_));
  ASSERT_TRUE(access_.open_claim(claim_, note_));
  User again = alder_;
  again.secret_hash = "hash-new";
  EXPECT_EQ(take(again, "s1").value(), true);
  EXPECT_EQ(store_.users().find("alder").value(), again);
  EXPECT_FALSE(is_in("old"));
  EXPECT_TRUE(is_in("s1"));
}

TEST_F(ConsoleAccessTest, AClaimDoesNotTakeAnotherAccountsName) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.open_claim(claim_, note_));
  User owner = alder_;
  owner.name = "birch";
  EXPECT_EQ(take(owner, "s1").error().code, ErrorCode::kUsage);
  EXPECT_EQ(access_.claim().value(), claim_);
  EXPECT_EQ(store_.users().find("birch").value(), birch_);
  EXPECT_EQ(take(alder_, "s1").value(), true);
}

TEST_F(ConsoleAccessTest, SessionsOutliveTheStore) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "s1"), arrival_));
  ASSERT_TRUE(access_.touch("s1", test::at_second(99)));
  Store again = test::open_or_stop(path_);
  SessionRow expected = session_of("birch", "s1");
  expected.last_used = test::at_second(99);
  EXPECT_EQ(again.console_access().session("s1").value(), expected);
  EXPECT_EQ(again.console_access().session("s2").value(), std::nullopt);
}

TEST_F(ConsoleAccessTest, SignInAndOutAreInTheLogbook) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "s1"), arrival_));
  ASSERT_TRUE(access_.sign_out("s1", test::at_second(20)));
  ASSERT_TRUE(access_.sign_out("s1", test::at_second(21)));
  EXPECT_FALSE(is_in("s1"));
  EXPECT_EQ(log(),
            (std::vector<std::string>{
                "birch signed out", "birch signed in", "user birch added"}));
  EXPECT_EQ(access_.sign_in(session_of("nobody", "s2"), arrival_).error().code,
            ErrorCode::kNoData);
}

TEST_F(ConsoleAccessTest, SessionsOfWhoMayNotComeInEnd) {
  for (int i = 0; i < 4; ++i) {
    SCOPED_TRACE(i);
    User user = birch_;
    user.name += std::to_string(i);
    ASSERT_TRUE(store_.users().add(user, note_));
    ASSERT_TRUE(access_.sign_in(session_of(user.name, user.name), arrival_));
    User kept = user;
    kept.role = Role::kHelper;
    ASSERT_TRUE(store_.users().change(kept, note_));
    EXPECT_TRUE(is_in(user.name));
    User changed = kept;
    changed.enabled = i != 0;
    changed.role = i == 1 ? std::nullopt : kept.role;
    changed.secret_hash = i == 2 ? "hash-new" : kept.secret_hash;
    ASSERT_TRUE(i == 3 ? store_.users().remove(user.name, note_)
                       : store_.users().change(changed, note_));
    EXPECT_FALSE(is_in(user.name));
  }
}

TEST_F(ConsoleAccessTest, AnotherSecretKeepsOneSessionANewHashAll) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  for (const char* hash : {"s1", "s2", "s3"}) {
    ASSERT_TRUE(access_.sign_in(session_of("birch", hash), arrival_));
  }
  User user = birch_;
  user.secret_hash = "same password, other salt";
  ASSERT_TRUE(access_.renew_secret(user, note_));
  EXPECT_TRUE(is_in("s1") && is_in("s2") && is_in("s3"));
  user.secret_hash = "another password";
  ASSERT_TRUE(access_.change_secret(user, "s2", note_));
  EXPECT_FALSE(is_in("s1") || is_in("s3"));
  EXPECT_TRUE(is_in("s2"));
  EXPECT_EQ(store_.users().find("birch").value(), user);
}

TEST_F(ConsoleAccessTest, WhatHasEndedGoesWhenSomebodyComes) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "ended", 10), arrival_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "idle", 500), arrival_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "used", 500), arrival_));
  ASSERT_TRUE(access_.touch("used", test::at_second(900)));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "new", 1010),
                              {"192.0.2.7", test::at_second(800)}));
  EXPECT_FALSE(is_in("ended"));
  EXPECT_FALSE(is_in("idle"));
  EXPECT_TRUE(is_in("used"));
  EXPECT_TRUE(is_in("new"));
}

TEST_F(ConsoleAccessTest, APersonHasTwentySessionsAtMost) {
  ASSERT_TRUE(store_.users().add(alder_, note_));
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("alder", "other"), arrival_));
  for (int i = 0; i < 25; ++i) {
    ASSERT_TRUE(access_.sign_in(session_of("birch", "s" + std::to_string(i), i),
                                arrival_));
  }
  EXPECT_EQ(test::foreign_answer(path_,
                                 "SELECT count(*) FROM console_sessions"
                                 " WHERE user = 'birch'"),
            "20");
  EXPECT_FALSE(is_in("s4"));
  EXPECT_TRUE(is_in("s5"));
  EXPECT_TRUE(is_in("s24"));
  EXPECT_TRUE(is_in("other"));
}

TEST_F(ConsoleAccessTest, HashesThatCannotBeAreRefused) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ClaimRow claim = claim_;
  claim.code_hash = "";
  EXPECT_EQ(access_.open_claim(claim, note_).error().code,
            ErrorCode::kOutOfRange);
  SessionRow session = session_of("birch", "");
  EXPECT_EQ(access_.sign_in(session, arrival_).error().code,
            ErrorCode::kOutOfRange);
  session = session_of("birch", "s1");
  session.csrf = "a\nb";
  EXPECT_EQ(access_.sign_in(session, arrival_).error().code,
            ErrorCode::kOutOfRange);
  EXPECT_EQ(access_.claim().value(), std::nullopt);
}

TEST_F(ConsoleAccessTest, NothingHappensWithoutItsEntry) {
  ASSERT_TRUE(store_.users().add(birch_, note_));
  ASSERT_TRUE(access_.sign_in(session_of("birch", "s1"), arrival_));
  ASSERT_TRUE(access_.open_claim(claim_, note_));
  ASSERT_EQ(test::foreign_sql(path_,
                              "CREATE TRIGGER jam BEFORE INSERT ON logbook "
                              "BEGIN SELECT RAISE(ABORT, 'jammed'); END"),
            "");
  ClaimRow other = claim_;
  other.code_hash = "other";
  EXPECT_FALSE(access_.open_claim(other, note_));
  EXPECT_FALSE(take(alder_, "s2"));
  EXPECT_FALSE(access_.sign_in(session_of("birch", "s3"), arrival_));
  EXPECT_FALSE(access_.sign_out("s1", test::at_second(20)));
  User user = birch_;
  user.secret_hash = "new";
  EXPECT_FALSE(access_.change_secret(user, "", note_));
  EXPECT_EQ(access_.claim().value(), claim_);
  EXPECT_TRUE(is_in("s1"));
  EXPECT_FALSE(is_in("s2") || is_in("s3"));
  EXPECT_EQ(store_.users().find("alder").value(), std::nullopt);
  EXPECT_EQ(store_.users().find("birch").value(), birch_);
}

}  // namespace
}  // namespace stillpoint

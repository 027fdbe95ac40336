// Sessions of the console: how long they hold, and what ends them.
#include "stillpoint/people/console_test_support.h"
#include "stillpoint/people/session_secret.h"

namespace stillpoint::people {
namespace {

constexpr double kHourS = 3600;
constexpr double kDayS = 86'400;

class SessionTest : public ConsoleTest {
 protected:
  void SetUp() override { add("alder", Role::kOwner); }

  std::optional<Refused> change_password(
      std::string_view secret,
      std::string_view old_password = kPassword,
      std::string_view new_password = "another four words",
      std::string_view address = kAddress) {
    return people_
        ->change_password(
            secret, old_password, new_password, address, now_, steady_)
        .value();
  }
  GnssTime last_used(std::string_view secret) {
    return store_->console_access()
        .session(session_hash(secret))
        .value()
        ->last_used;
  }
};

TEST_F(SessionTest, OnlyTheSecretFindsIt) {
  const std::string secret = come_in("alder");
  ASSERT_TRUE(session(secret));
  std::string other = secret;
  other.front() = other.front() == 'A' ? 'B' : 'A';
  for (const std::string& bad :
       {std::string(), other, secret + "A", secret.substr(1)}) {
    EXPECT_FALSE(session(bad)) << bad;
  }
}

TEST_F(SessionTest, OutlivesARestart) {
  const std::string secret = come_in("alder");
  const std::string csrf = session(secret)->csrf;
  restart();
  const auto again = session(secret);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->name, "alder");
  EXPECT_EQ(again->role, Role::kOwner);
  EXPECT_EQ(again->csrf, csrf);
}

TEST_F(SessionTest, ItsCsrfIsComparedWhole) {
  const Outcome outcome = login("alder");
  const Session& mine = outcome->session;
  EXPECT_TRUE(is_csrf(mine, std::string(mine.csrf)));
  EXPECT_FALSE(is_csrf(mine, ""));
  EXPECT_FALSE(is_csrf(mine, mine.csrf.substr(1)));
  EXPECT_FALSE(is_csrf(mine, mine.csrf + "A"));
  EXPECT_FALSE(is_csrf(mine, login("alder")->session.csrf));
  EXPECT_FALSE(is_csrf(Session{}, ""));
}

TEST_F(SessionTest, EndsTwelveHoursAfterItsLastUse) {
  const std::string secret = come_in("alder");
  pass(11 * kHourS);
  EXPECT_TRUE(session(secret));
  pass(12 * kHourS - 1);
  EXPECT_TRUE(session(secret));
  pass(12 * kHourS);
  EXPECT_FALSE(session(secret));
}

TEST_F(SessionTest, EndsAfterThirtyDaysHoweverMuchItIsUsed) {
  const std::string secret = come_in("alder");
  for (int use = 0; use < 90; ++use) {
    EXPECT_TRUE(session(secret)) << use;
    pass(8 * kHourS);
  }
  EXPECT_FALSE(session(secret));
}

TEST_F(SessionTest, AClockThatIsSetBackDoesNotMakeItImmortal) {
  const std::string secret = come_in("alder");
  const GnssTime made = now_;
  now_ = made - Duration{kDayS};
  EXPECT_TRUE(session(secret));  // a day is forgiven, and used now
  now_ = made - Duration{kDayS + 1};
  EXPECT_FALSE(session(secret));
  // Used for days, then set back to just after the beginning.
  now_ = made;
  const std::string used = come_in("alder");
  for (int i = 0; i < 10; ++i) {
    ASSERT_TRUE(session(used));
    pass(11 * kHourS);
  }
  ASSERT_TRUE(session(used));
  now_ = made + Duration{kHourS};
  EXPECT_FALSE(session(used));
}

TEST_F(SessionTest, ItsUseIsWrittenOnceAMinute) {
  const std::string secret = come_in("alder");
  const GnssTime made = now_;
  pass(59);
  ASSERT_TRUE(session(secret));
  EXPECT_EQ(last_used(secret), made);
  pass(1);
  ASSERT_TRUE(session(secret));
  EXPECT_EQ(last_used(secret), now_);
  pass(-60);  // the clock was set back
  ASSERT_TRUE(session(secret));
  EXPECT_EQ(last_used(secret), made);
}

TEST_F(SessionTest, HoldsWhereItsUseCannotBeWritten) {
  const std::string secret = come_in("alder");
  run_sql(
      "CREATE TRIGGER jam BEFORE UPDATE ON console_sessions "
      "BEGIN SELECT RAISE(ABORT, 'jammed'); END");
  pass(100);
  EXPECT_TRUE(session(secret));
  run_sql("DROP TRIGGER jam");
  pass(59);
  EXPECT_TRUE(session(secret));
  EXPECT_EQ(last_used(secret), now_ - Duration{159});  // not tried every time
  pass(1);
  EXPECT_TRUE(session(secret));
  EXPECT_EQ(last_used(secret), now_);
}

TEST_F(SessionTest, EndsWithALogout) {
  const std::string secret = come_in("alder");
  const std::string other = come_in("alder");
  ASSERT_TRUE(people_->logout(secret, now_));
  EXPECT_FALSE(session(secret));
  EXPECT_TRUE(session(other));
  EXPECT_EQ(log(LogKind::kSignedOut),
            std::vector<std::string>{"alder signed out"});
  EXPECT_TRUE(people_->logout(secret, now_));
  EXPECT_TRUE(people_->logout("no secret", now_));
  EXPECT_EQ(log(LogKind::kSignedOut).size(), 1U);
}

TEST_F(SessionTest, FollowsItsPerson) {
  add("birch", Role::kHelper);
  const std::string secret = come_in("birch");
  User birch = store_->users().find("birch").value().value();
  birch.role = Role::kGuest;
  ASSERT_TRUE(store_->users().change(birch, note()));
  EXPECT_EQ(session(secret)->role, Role::kGuest);
  birch.enabled = false;
  ASSERT_TRUE(store_->users().change(birch, note()));
  EXPECT_FALSE(session(secret));
  birch.enabled = true;
  ASSERT_TRUE(store_->users().change(birch, note()));
  EXPECT_FALSE(session(secret));  // it has ended, and is not back
  const std::string next = come_in("birch");
  ASSERT_TRUE(store_->users().remove("birch", note()));
  EXPECT_FALSE(session(next));
}

TEST_F(SessionTest, AnotherPasswordEndsAllOthers) {
  const std::string mine = come_in("alder");
  const std::string other = come_in("alder");
  ASSERT_FALSE(change_password(mine));
  EXPECT_TRUE(session(mine));
  EXPECT_FALSE(session(other));
  expect_refused(login("alder"), Refusal::kWrong);
  EXPECT_TRUE(login("alder", "another four words"));
  EXPECT_EQ(log(LogKind::kUserChanged).front(), "user alder changed: secret");
}

TEST_F(SessionTest, AnotherPasswordNeedsASessionTheOldOneAndAGoodNewOne) {
  const std::string mine = come_in("alder");
  EXPECT_EQ(change_password("no secret")->why, Refusal::kWrong);
  EXPECT_EQ(change_password(mine, "wrong password")->why, Refusal::kWrong);
  const auto bad = change_password(mine, kPassword, "short");
  ASSERT_TRUE(bad);
  EXPECT_EQ(bad->why, Refusal::kBadPassword);
  EXPECT_FALSE(bad->what.empty());
  EXPECT_TRUE(login("alder"));
  EXPECT_EQ(newest(LogKind::kSignInRefused).text,
            "a change of a password was refused");
}

TEST_F(SessionTest, TheOldPasswordIsNotGuessedByAStolenSession) {
  const std::string mine = come_in("alder");
  for (int i = 0; i < 4; ++i) {
    EXPECT_EQ(change_password(mine,
                              "wrong password",
                              "another four words",
                              "10.0.0." + std::to_string(i))
                  ->why,
              Refusal::kWrong);
  }
  const auto held =
      change_password(mine, kPassword, "another four words", "10.0.0.9");
  ASSERT_TRUE(held);
  EXPECT_EQ(held->why, Refusal::kTooSoon);
  EXPECT_EQ(held->wait_s, 1);
  pass(1);
  EXPECT_FALSE(change_password(mine));
}

}  // namespace
}  // namespace stillpoint::people

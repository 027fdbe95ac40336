// Logins in the console, and guesses at them.
#include <ctime>

#include "stillpoint/people/console_test_support.h"

namespace stillpoint::people {
namespace {

class LoginTest : public ConsoleTest {
 protected:
  void SetUp() override { add("alder", Role::kOwner); }

  template <class F>
  static double processor_s(const F& work) {
    const std::clock_t begin = std::clock();
    work();
    return static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
  }
};

TEST_F(LoginTest, TheRightPasswordOpensASession) {
  const Outcome outcome = login("alder");
  ASSERT_TRUE(outcome);
  EXPECT_EQ(outcome->session.name, "alder");
  EXPECT_EQ(outcome->session.role, Role::kOwner);
  EXPECT_EQ(outcome->secret.size(), 43U);
  EXPECT_EQ(outcome->session.csrf.size(), 22U);
  EXPECT_EQ(outcome->session.ends, now_ + Duration{kSessionHoldsS});
  const LogEntry entry = newest(LogKind::kSignedIn);
  EXPECT_EQ(entry.text, "alder signed in");
  EXPECT_EQ(entry.details,
            (std::vector<LogDetail>{{"user", std::string("alder")},
                                    {"address", std::string(kAddress)}}));
}

TEST_F(LoginTest, EachRoleComesInAndNobodyWithout) {
  add("birch", Role::kHelper);
  add("cedar", Role::kGuest);
  add("ditch", std::nullopt);
  add("elder", Role::kGuest);
  User elder = store_->users().find("elder").value().value();
  elder.enabled = false;
  ASSERT_TRUE(store_->users().change(elder, note()));
  User stream{"tractor-2", UserKind::kStream, "blake2b:00", {}, {}, true};
  ASSERT_TRUE(store_->users().add(stream, note()));
  EXPECT_EQ(login("birch")->session.role, Role::kHelper);
  EXPECT_EQ(login("cedar")->session.role, Role::kGuest);
  int i = 0;
  for (const char* name : {"ditch", "elder", "tractor-2", "nobody", ""}) {
    SCOPED_TRACE(name);
    expect_refused(login(name, kPassword, "10.0.0." + std::to_string(++i)),
                   Refusal::kWrong);
  }
}

TEST_F(LoginTest, AWrongPasswordIsRefusedWhateverItIs) {
  int i = 0;
  for (const std::string& bad : {std::string(),
                                 std::string("four plain words herE"),
                                 std::string(100'000, 'x'),
                                 std::string("\0\xFF", 2)}) {
    expect_refused(login("alder", bad, "10.0.0." + std::to_string(++i)),
                   Refusal::kWrong);
  }
  EXPECT_TRUE(login("alder"));
}

TEST_F(LoginTest, RefusalsAreLoggedWithNamesOfAccountsOnly) {
  login("alder", "wrong password");
  const LogEntry known = newest(LogKind::kSignInRefused);
  EXPECT_EQ(known.text, "a sign-in was refused");
  EXPECT_EQ(known.details,
            (std::vector<LogDetail>{{"address", std::string(kAddress)},
                                    {"count", std::int64_t{1}},
                                    {"user", std::string("alder")}}));
  pass(1);
  login("a password typed as a name", "x");
  EXPECT_EQ(newest(LogKind::kSignInRefused).details,
            (std::vector<LogDetail>{{"address", std::string(kAddress)},
                                    {"count", std::int64_t{1}}}));
}

TEST_F(LoginTest, AfterThreeEachWrongOneCostsTwiceTheWait) {
  for (int i = 0; i < 4; ++i) {
    expect_refused(login("alder", "wrong password"), Refusal::kWrong);
  }
  for (const int wait_s : {1, 2, 4, 8}) {
    const Outcome held = login("alder");
    expect_refused(held, Refusal::kTooSoon);
    EXPECT_EQ(held.error().wait_s, wait_s);
    pass(wait_s);
    expect_refused(login("alder", "wrong password"), Refusal::kWrong);
  }
  // From elsewhere the owner comes in.
  EXPECT_TRUE(login("alder", kPassword, "192.0.2.8"));
  pass(16);
  EXPECT_TRUE(login("alder"));
  EXPECT_TRUE(login("alder"));
}

TEST_F(LoginTest, ManyFromEverywhereSlowEverybodyButSessions) {
  const std::string secret = come_in("alder");
  for (int i = 0; i < 20; ++i) {
    expect_refused(
        login("alder", "wrong password", "10.0.0." + std::to_string(i)),
        Refusal::kWrong);
    pass(1);
  }
  const Outcome held = login("alder", kPassword, "192.0.2.99");
  expect_refused(held, Refusal::kTooSoon);
  EXPECT_EQ(held.error().wait_s, 40);
  EXPECT_TRUE(session(secret));
  EXPECT_EQ(
      people_
          ->change_password(
              secret, kPassword, "another four words", kAddress, now_, steady_)
          .value()
          .has_value(),
      false);
  pass(40);
  EXPECT_TRUE(login("alder", "another four words", "192.0.2.99"));
}

// kind: cross   source: processor time of the same number of hashes
// tolerance: 500 hashes would cost 25 times those of 20
TEST_F(LoginTest, WhoHasToWaitCostsNoHash) {
  const double hashed_s = processor_s([&] {
    for (int i = 0; i < 20; ++i) {
      login("alder", "wrong password", "10.0.0." + std::to_string(i));
    }
  });
  const double held_s = processor_s([&] {
    for (int i = 0; i < 500; ++i) {
      expect_refused(login("alder"), Refusal::kTooSoon);
    }
  });
  EXPECT_LT(held_s, 5 * hashed_s);
}

// kind: cross   source: processor time for a name that is there
// tolerance: a factor of two; without a hash it would be a hundred
TEST_F(LoginTest, AnUnknownNameCostsTheSame) {
  const auto cost_s = [&](const char* name) {
    return processor_s([&] {
      for (int i = 0; i < 8; ++i) {
        expect_refused(
            login(name, "wrong password", "10.0.0." + std::to_string(i)),
            Refusal::kWrong);
      }
    });
  };
  const double known_s = cost_s("alder");
  pass(86'401);
  const double unknown_s = cost_s("nobody");
  EXPECT_GT(unknown_s, known_s / 2);
  EXPECT_LT(unknown_s, known_s * 2);
}

TEST_F(LoginTest, TenRefusalsAnHourAreEntriesTheRestIsCounted) {
  for (int i = 0; i < 15; ++i) {
    login("alder", "wrong password", "10.0.0." + std::to_string(i));
  }
  EXPECT_EQ(log(LogKind::kSignInRefused).size(), 10U);
  pass(3600);
  session("whatever");
  EXPECT_EQ(log(LogKind::kSignInRefused).front(),
            "5 more sign-ins were refused");
  EXPECT_EQ(newest(LogKind::kSignInRefused).details,
            (std::vector<LogDetail>{{"count", std::int64_t{5}}}));
}

TEST_F(LoginTest, WithoutALogbookRefusalsGoOnAndNobodyComesIn) {
  run_sql(
      "CREATE TRIGGER jam BEFORE INSERT ON logbook "
      "BEGIN SELECT RAISE(ABORT, 'jammed'); END");
  expect_refused(login("alder", "wrong password"), Refusal::kWrong);
  EXPECT_FALSE(
      people_->login("alder", kPassword, kAddress, now_, steady_).has_value());
  run_sql("DROP TRIGGER jam");
  EXPECT_TRUE(login("alder"));
}

// kind: published   source: test vector of the Argon2 reference implementation
// as in passwords_test.cc, from memory
// tolerance: none
TEST_F(LoginTest, AHashOfOtherCostsIsRenewedAndSessionsGoOn) {
  User user;
  user.name = "birch";
  user.role = Role::kGuest;
  user.secret_hash =
      "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$"
      "nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4";
  ASSERT_TRUE(store_->users().add(user, note()));
  const Outcome first = login("birch", "password");
  ASSERT_TRUE(first);
  const std::string renewed =
      store_->users().find("birch").value()->secret_hash;
  EXPECT_FALSE(needs_rehash(renewed));
  ASSERT_TRUE(login("birch", "password"));
  EXPECT_EQ(store_->users().find("birch").value()->secret_hash, renewed);
  EXPECT_TRUE(session(first->secret));
}

}  // namespace
}  // namespace stillpoint::people

#include "stillpoint/station/caster_door.h"

#include <gtest/gtest.h>

#include <thread>

#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

class CasterDoorTest : public testing::Test {
 protected:
  void SetUp() override {
    threads_.emplace_back([this] { ledger_.run_questions(); });
    threads_.emplace_back([this] { ledger_.run_hashes(); });
  }
  void TearDown() override {
    ledger_.stop();
    for (std::thread& thread : threads_) {
      thread.join();
    }
  }

  ntrip::Verdict ask(const std::string& user, const std::string& password) {
    std::atomic<bool> answered = false;
    ntrip::Verdict verdict;
    ledger_.ask({"CLOSED", user, password, "192.0.2.1"},
                [&](const ntrip::Verdict& answer) {
                  verdict = answer;
                  answered = true;
                });
    EXPECT_TRUE(test::wait_until([&] { return answered.load(); }));
    return verdict;
  }

  test::HandClock clock_;
  test::LogLines log_;
  people::SecretKey key_ = people::SecretKey::random();
  people::NewToken token_ = people::make_stream_token(key_);
  Chronicle chronicle_{{}, clock_.clocks(), log_.logger()};
  people::Door door_{
      std::move(key_),
      [this](std::string_view name) -> Result<std::optional<User>> {
        if (name == "ditch-1") {
          return User{
              "ditch-1", UserKind::kStream, token_.hash, {}, 5000, true};
        }
        if (name == "tractor-2") {
          return User{"tractor-2", UserKind::kPerson, "slow", {}, {}, true};
        }
        return std::optional<User>();
      },
      {{{"CLOSED", false, 0}}},
      [](std::string_view hash, std::string_view password) -> Result<bool> {
        return hash == "slow" && password == "right";
      }};
  CasterDoor ledger_{door_, clock_.clocks(), chronicle_, log_.logger()};
  std::vector<std::thread> threads_;
};

TEST_F(CasterDoorTest, TokensAndPasswordsOpenAndAllElseDoesNot) {
  using ntrip::Admission;
  const ntrip::Verdict token = ask("ditch-1", token_.word);
  EXPECT_EQ(token.admission, Admission::kAllowed);
  EXPECT_EQ(token.most_bytes, 5000U);
  EXPECT_EQ(ask("tractor-2", "right").admission, Admission::kAllowed);
  EXPECT_EQ(ask("tractor-2", "wrong").admission, Admission::kWrongLogin);
  EXPECT_EQ(ask("nobody", "right").admission, Admission::kWrongLogin);
  EXPECT_EQ(ask("", "").admission, Admission::kWrongLogin);
  EXPECT_EQ(log_.count("a rover was refused"), 3);
  EXPECT_EQ(log_.count("right"), 0);  // no password in the log
  EXPECT_EQ(log_.count(token_.word), 0);
}

TEST_F(CasterDoorTest, WhoComesAndGoesIsToldWithoutAnAddressThatIsKept) {
  ntrip::SessionFacts facts;
  facts.session = 9;
  facts.mount = "CLOSED";
  facts.user = "ditch-1";
  facts.address = "192.0.2.1";
  ASSERT_EQ(ask("ditch-1", token_.word).admission, ntrip::Admission::kAllowed);
  ledger_.on_connect(facts);
  EXPECT_EQ(ledger_.at_mounts().at("CLOSED"), 1U);
  ntrip::SessionAccount account;
  account.sent_bytes = 4000;
  ledger_.on_disconnect(9, ntrip::Departure::kSlow, account);
  EXPECT_TRUE(ledger_.at_mounts().empty());
  EXPECT_EQ(chronicle_.facts().entries_waiting, 2U);
  EXPECT_EQ(log_.count("reason=slow sent_bytes=4000"), 1);
  // What is left of the hour.
  EXPECT_EQ(ask("ditch-1", token_.word).most_bytes, 1000U);
}

}  // namespace
}  // namespace stillpoint::station

// Who is let in, at which stage, and who has to wait.
#include "stillpoint/people/door.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/people/door_test_support.h"

namespace stillpoint::people {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::nanoseconds;
using std::chrono::seconds;

TEST_F(DoorTest, AnOpenMountpointIsForEveryoneAtOnce) {
  for (const Question& asked : {question("", "", "OPEN"),
                                question("ditch-1", "wrong", "OPEN"),
                                question("nobody", "x", "OPEN")}) {
    const auto first = door_->first(asked, now_);
    ASSERT_TRUE(first);
    EXPECT_EQ(first->admission, Admission::kAllowed);
    EXPECT_EQ(first->remaining_bytes, 0U);
  }
  EXPECT_EQ(lookups_, 0);
}

TEST_F(DoorTest, AMountpointThatIsNotThereIsForbidden) {
  const auto first =
      door_->first(question("ditch-1", token_.word, "NONE"), now_);
  ASSERT_TRUE(first);
  EXPECT_EQ(first->admission, Admission::kForbidden);
}

TEST_F(DoorTest, WithoutALoginOneIsAskedForAndNothingIsHashed) {
  for (int i = 0; i < 10; ++i) {
    const auto first = door_->first(question("", ""), now_);
    ASSERT_TRUE(first);
    EXPECT_EQ(first->admission, Admission::kWrongLogin);
  }
  EXPECT_TRUE(hashed_.empty());
  EXPECT_EQ(guess("four words"), Admission::kAllowed);  // not held up
}

TEST_F(DoorTest, ARightTokenIsAllowedAtOnce) {
  const auto first = door_->first(question("ditch-1", token_.word), now_);
  ASSERT_TRUE(first);
  EXPECT_EQ(first->admission, Admission::kAllowed);
  EXPECT_TRUE(hashed_.empty());
}

TEST_F(DoorTest, ATokenIsOfItsAccountAndOfStreamsOnly) {
  users_["tractor-2"] = {"tractor-2",
                         UserKind::kStream,
                         make_stream_token(key_).hash,
                         {},
                         {},
                         true};
  users_["club-guest"].secret_hash = token_.hash;
  for (const char* user : {"tractor-2", "club-guest", "nobody", ""}) {
    EXPECT_FALSE(door_->first(question(user, token_.word), now_)) << user;
    EXPECT_EQ(guess(token_.word, user), Admission::kWrongLogin) << user;
  }
}

TEST_F(DoorTest, APasswordIsOfPeopleOnly) {
  users_["ditch-1"].secret_hash = "four words";
  EXPECT_EQ(guess("four words", "ditch-1"), Admission::kWrongLogin);
}

TEST_F(DoorTest, APersonNeedsTheSlowHashOnceAnHour) {
  const Question asked = question("club-guest", "four words");
  EXPECT_FALSE(door_->first(asked, now_));
  EXPECT_EQ(door_->finish(asked, now_).admission, Admission::kAllowed);
  EXPECT_EQ(hashed_.size(), 1U);
  const auto again = door_->first(asked, now_ + hours{1} - nanoseconds{1});
  ASSERT_TRUE(again);
  EXPECT_EQ(again->admission, Admission::kAllowed);
  EXPECT_FALSE(door_->first(asked, now_ + hours{1}));
}

// A crowd of one person's rovers, back after a pause, costs one hash.
TEST_F(DoorTest, QuestionsThatWaitedForTheSameHashShareIt) {
  const Question asked = question("club-guest", "four words");
  for (int i = 0; i < 5; ++i) {
    EXPECT_FALSE(door_->first(asked, now_));
  }
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(door_->finish(asked, now_).admission, Admission::kAllowed);
  }
  EXPECT_EQ(hashed_.size(), 1U);
}

TEST_F(DoorTest, ARememberedPasswordIsForgottenWithItsHash) {
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
  users_["club-guest"].secret_hash = "new words";
  EXPECT_FALSE(door_->first(question("club-guest", "four words"), now_));
  EXPECT_EQ(guess("four words"), Admission::kWrongLogin);
  EXPECT_EQ(guess("new words"), Admission::kAllowed);
}

TEST_F(DoorTest, APersonThatBecameAStreamIsNotRemembered) {
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
  users_["club-guest"].kind = UserKind::kStream;
  EXPECT_EQ(guess("four words"), Admission::kWrongLogin);
}

TEST_F(DoorTest, ARemovedPersonIsNotRemembered) {
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
  users_.erase("club-guest");
  EXPECT_EQ(guess("four words"), Admission::kWrongLogin);
}

TEST_F(DoorTest, ADisabledAccountIsForbiddenToItsOwnerAndUnknownToOthers) {
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
  users_["ditch-1"].enabled = users_["club-guest"].enabled = false;
  EXPECT_EQ(guess(token_.word, "ditch-1"), Admission::kForbidden);
  EXPECT_EQ(guess("wrong", "ditch-1"), Admission::kWrongLogin);
  EXPECT_EQ(guess("four words"), Admission::kForbidden);
  EXPECT_EQ(guess("wrong"), Admission::kWrongLogin);
  now_ += hours{2};  // no longer remembered
  EXPECT_EQ(guess("four words"), Admission::kForbidden);
}

// The times of the answers must not tell who exists: each wrong login, whatever
// is wrong about it, asks for the user as often and makes as many slow hashes.
TEST_F(DoorTest, EveryWrongLoginTakesTheSameWay) {
  struct Wrong {
    const char *user, *password;
  };
  int i = 0;
  for (const Wrong& wrong :
       {Wrong{"nobody", "wrong"},
        Wrong{"club-guest", "wrong"},
        Wrong{"ditch-1", "wrong"},
        Wrong{"", "wrong"},
        Wrong{"nobody", ""},
        Wrong{"ditch-1", "00000-00000-00000-00000-000000"},
        Wrong{"nobody", "00000-00000-00000-00000-000000"}}) {
    const std::string address = "192.0.2." + std::to_string(++i);
    const Question asked =
        question(wrong.user, wrong.password, "LHOL", address);
    hashed_.clear();
    lookups_ = 0;
    EXPECT_FALSE(door_->first(asked, now_)) << i;
    EXPECT_EQ(lookups_, 1) << i;
    EXPECT_EQ(door_->finish(asked, now_).admission, Admission::kWrongLogin);
    EXPECT_EQ(lookups_, 2) << i;
    ASSERT_EQ(hashed_.size(), 1U) << i;
    EXPECT_EQ(hashed_.front(),
              wrong.user == std::string("club-guest")
                  ? "four words"
                  : std::string(decoy_hash()));
  }
}

// Whoever knows the decoy's password, or finds it, gets nothing by it.
TEST_F(DoorTest, TheDecoyOpensNothing) {
  for (const char* user : {"nobody", "ditch-1", ""}) {
    EXPECT_EQ(guess(decoy_hash(), user), Admission::kWrongLogin);
  }
}

TEST_F(DoorTest, FiveWrongLoginsHoldUpPasswordsFromThere) {
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(guess("wrong"), Admission::kWrongLogin);
  }
  EXPECT_EQ(hashed_.size(), 5U);
  EXPECT_EQ(guess("four words"), Admission::kTooMany);
  EXPECT_EQ(guess("wrong", "nobody"), Admission::kTooMany);
  EXPECT_EQ(hashed_.size(), 5U);
  EXPECT_EQ(
      admission(question("club-guest", "four words", "LHOL", "192.0.2.8")),
      Admission::kAllowed);
  now_ += seconds{1};
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
}

TEST_F(DoorTest, NeitherTokensNorOpenMountpointsAreHeldUp) {
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(guess("wrong", "ditch-1"), Admission::kWrongLogin);
  }
  EXPECT_EQ(guess("wrong", "ditch-1"), Admission::kTooMany);
  EXPECT_EQ(guess(token_.word, "ditch-1"), Admission::kAllowed);
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
  EXPECT_EQ(admission(question("", "")), Admission::kWrongLogin);
}

// A remembered password is quick to try, and so must not be free to try.
TEST_F(DoorTest, RememberedPasswordsAreHeldUpToo) {
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(guess("wrong"), Admission::kWrongLogin);
  }
  EXPECT_EQ(guess("four words"), Admission::kTooMany);
  EXPECT_EQ(guess("four words"), Admission::kTooMany);
}

TEST_F(DoorTest, ARightPasswordEndsTheRowRememberedOrNot) {
  for (int round = 0; round < 3; ++round) {
    for (int i = 0; i < 4; ++i) {
      EXPECT_EQ(guess("wrong"), Admission::kWrongLogin);
    }
    EXPECT_EQ(guess("four words"), Admission::kAllowed);
  }
}

// A thousand guesses at once: those that waited while the first were found
// wrong are not hashed.
TEST_F(DoorTest, GuessesThatWaitInTheQueueAreHeldUp) {
  const Question wrong = question("club-guest", "wrong");
  for (int i = 0; i < 1000; ++i) {
    ASSERT_FALSE(door_->first(wrong, now_));
  }
  int refused = 0;
  for (int i = 0; i < 1000; ++i) {
    refused += door_->finish(wrong, now_).admission == Admission::kTooMany;
  }
  EXPECT_EQ(refused, 995);
  EXPECT_EQ(hashed_.size(), 5U);
}

TEST_F(DoorTest, AListThatCannotBeReadIsNobodysFault) {
  lookup_error_ = Error{ErrorCode::kIo, "disk I/O error", "station.db", ""};
  for (int i = 0; i < 10; ++i) {
    const Decision decision = ask(question("ditch-1", token_.word));
    EXPECT_EQ(decision.admission, Admission::kTooMany);
    ASSERT_TRUE(decision.error);
    EXPECT_EQ(decision.error->what, "disk I/O error");
  }
  EXPECT_EQ(admission(question("", "", "OPEN")), Admission::kAllowed);
  lookup_error_.reset();
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
}

TEST_F(DoorTest, AHashThatCannotBeMadeIsNobodysFault) {
  check_error_ = Error{ErrorCode::kIo, "there is no memory", "", ""};
  for (int i = 0; i < 10; ++i) {
    const Decision decision = ask(question("club-guest", "four words"));
    EXPECT_EQ(decision.admission, Admission::kTooMany);
    EXPECT_TRUE(decision.error);
  }
  check_error_.reset();
  EXPECT_EQ(guess("four words"), Admission::kAllowed);
}

TEST_F(DoorTest, TheRealHashIsTheDefault) {
  const std::string hash = hash_password("four words").value();
  Door door(
      SecretKey::random(),
      [&](std::string_view name) -> Result<std::optional<User>> {
        return name == "club-guest"
                   ? std::optional(User{
                         "club-guest", UserKind::kPerson, hash, {}, {}, true})
                   : std::nullopt;
      },
      DoorConfig{{{"LHOL", false, 0}}});
  EXPECT_EQ(door.finish(question("club-guest", "four words"), now_).admission,
            Admission::kAllowed);
  EXPECT_EQ(door.finish(question("club-guest", "other words"), now_).admission,
            Admission::kWrongLogin);
}

}  // namespace
}  // namespace stillpoint::people

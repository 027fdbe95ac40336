// The first claim of a station.
#include <atomic>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <thread>

#include "stillpoint/people/console_test_support.h"

namespace stillpoint::people {
namespace {

namespace fs = std::filesystem;

using ClaimTest = ConsoleTest;

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST_F(ClaimTest, AStationBeginsUnclaimedAndClosed) {
  EXPECT_EQ(people_->claimed(), false);
  EXPECT_EQ(people_->claim_open(now_), false);
  expect_refused(claim("00000-00000-000"), Refusal::kNotOpen);
}

TEST_F(ClaimTest, TheCodeLiesInAFileOfItsOwner) {
  const ClaimCode code = open_claim();
  EXPECT_EQ(code.word.size(), 15U);  // 13 symbols, two hyphens
  EXPECT_EQ(code.ends, now_ + Duration{3600});
  EXPECT_EQ(bytes_of(claim_path_), code.word + "\n");
  EXPECT_EQ(fs::status(claim_path_).permissions(),
            fs::perms::owner_read | fs::perms::owner_write);
  // No trace of a file that was written on the way.
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder_.path())) {
    names.insert(entry.path().filename());
  }
  EXPECT_EQ(
      names,
      (std::set<std::string>{
          "claim-code", "station.db", "station.db-shm", "station.db-wal"}));
  EXPECT_EQ(bytes_of(database_ + "-wal").find(code.word), std::string::npos);
  EXPECT_EQ(people_->claim_open(now_), true);
}

TEST_F(ClaimTest, AFolderThatIsMissingIsSaid) {
  const auto code =
      people::open_claim(*store_, folder_.path() / "no" / "code", note());
  ASSERT_FALSE(code);
  EXPECT_EQ(code.error().code, ErrorCode::kIo);
  EXPECT_EQ(people_->claim_open(now_), false);
}

TEST_F(ClaimTest, TheRightCodeMakesAnOwnerWithASession) {
  const ClaimCode code = open_claim();
  const Outcome outcome = claim(code.word);
  ASSERT_TRUE(outcome);
  EXPECT_EQ(outcome->session.name, "alder");
  EXPECT_EQ(outcome->session.role, Role::kOwner);
  EXPECT_EQ(people_->claimed(), true);
  EXPECT_EQ(people_->claim_open(now_), false);
  EXPECT_FALSE(fs::exists(claim_path_));
  ASSERT_TRUE(session(outcome->secret));
  EXPECT_EQ(session(outcome->secret)->csrf, outcome->session.csrf);
  EXPECT_TRUE(login("alder"));
  const LogEntry entry = newest(LogKind::kClaimed);
  EXPECT_EQ(entry.text, "the station was claimed by alder");
  EXPECT_EQ(entry.details,
            (std::vector<LogDetail>{{"user", std::string("alder")},
                                    {"address", std::string(kAddress)}}));
}

TEST_F(ClaimTest, ASecondClaimIsRefusedAndLogged) {
  const ClaimCode code = open_claim();
  ASSERT_TRUE(claim(code.word));
  expect_refused(claim(code.word, "birch"), Refusal::kAlreadyClaimed);
  EXPECT_EQ(store_->users().find("birch").value(), std::nullopt);
  const LogEntry entry = newest(LogKind::kClaimRefused);
  EXPECT_EQ(entry.text,
            "a claim of the station was refused: it is claimed already");
  EXPECT_EQ(
      entry.details,
      (std::vector<LogDetail>{{"reason", std::string("it is claimed already")},
                              {"address", std::string(kAddress)},
                              {"count", std::int64_t{1}}}));
}

TEST_F(ClaimTest, AWrongCodeIsRefusedAndCounted) {
  open_claim();
  for (const char* bad : {"", "00000-00000-000", "not a code at all", "0"}) {
    expect_refused(claim(bad), Refusal::kWrong);
  }
  const Outcome held = claim("00000-00000-000");
  expect_refused(held, Refusal::kTooSoon);
  EXPECT_EQ(held.error().wait_s, 1);
  EXPECT_EQ(log(LogKind::kClaimRefused).size(), 4U);
  EXPECT_EQ(people_->claimed(), false);
}

TEST_F(ClaimTest, WhoHasToWaitIsRefusedWithTheRightCodeToo) {
  const ClaimCode code = open_claim();
  for (int i = 0; i < 4; ++i) {
    claim("00000-00000-000");
  }
  expect_refused(claim(code.word), Refusal::kTooSoon);
  EXPECT_EQ(people_->claim_open(now_), true);
  pass(1);
  EXPECT_TRUE(claim(code.word));
}

TEST_F(ClaimTest, ANewCodeReplacesTheOld) {
  const ClaimCode old = open_claim();
  const ClaimCode code = open_claim();
  EXPECT_NE(old.word, code.word);
  expect_refused(claim(old.word), Refusal::kWrong);
  EXPECT_TRUE(claim(code.word));
}

TEST_F(ClaimTest, ACodeHoldsForAnHour) {
  const ClaimCode code = open_claim();
  pass(3600);
  EXPECT_EQ(people_->claim_open(now_), false);
  expect_refused(claim(code.word), Refusal::kNotOpen);
  pass(-1);
  EXPECT_EQ(people_->claim_open(now_), true);
  EXPECT_TRUE(claim(code.word));
}

TEST_F(ClaimTest, ACodeDoesNotHoldLongerByAClockThatIsSetBack) {
  const ClaimCode code = open_claim();
  now_ = now_ - Duration{3601};
  EXPECT_EQ(people_->claim_open(now_), false);
  expect_refused(claim(code.word), Refusal::kNotOpen);
}

TEST_F(ClaimTest, ABadNameOrPasswordLeavesTheCode) {
  const ClaimCode code = open_claim();
  add("ditch", std::nullopt);
  for (const std::string& name : {std::string(),
                                  std::string("a\nb"),
                                  std::string(" alder"),
                                  std::string(65, 'x'),
                                  std::string("ditch")}) {
    const Outcome outcome = claim(code.word, name);
    expect_refused(outcome, Refusal::kBadName);
    EXPECT_FALSE(outcome.error().what.empty());
  }
  for (const char* password : {"", "short", "two\nlines of it"}) {
    const Outcome outcome = claim(code.word, "alder", password);
    expect_refused(outcome, Refusal::kBadPassword);
    EXPECT_FALSE(outcome.error().what.empty());
  }
  EXPECT_EQ(people_->claimed(), false);
  EXPECT_EQ(store_->users().find("ditch").value()->role, std::nullopt);
  EXPECT_TRUE(claim(code.word));
}

// Without the code nobody learns which names exist.
TEST_F(ClaimTest, ABadNameWithAWrongCodeIsAWrongCode) {
  open_claim();
  expect_refused(claim("00000-00000-000", "", ""), Refusal::kWrong);
}

TEST_F(ClaimTest, AnOwnerWhoForgotThePasswordComesBackByANewCode) {
  add("alder", Role::kOwner);
  const std::string old = come_in("alder");
  const ClaimCode code = open_claim();
  const Outcome outcome = claim(code.word, "alder", "another four words");
  ASSERT_TRUE(outcome);
  EXPECT_FALSE(session(old));
  EXPECT_TRUE(session(outcome->secret));
  expect_refused(login("alder"), Refusal::kWrong);
  EXPECT_TRUE(login("alder", "another four words"));
}

TEST_F(ClaimTest, ACodeOutlivesARestart) {
  const ClaimCode code = open_claim();
  restart();
  EXPECT_EQ(people_->claim_open(now_), true);
  EXPECT_TRUE(claim(code.word));
}

// Each with a store of its own on the one file, as two processes would.
TEST_F(ClaimTest, OfTwoClaimantsAtOnceExactlyOneWins) {
  for (int round = 0; round < 5; ++round) {
    SCOPED_TRACE(round);
    const TempFolder folder;
    const fs::path path = folder.path() / "station.db";
    const std::string claim_path = folder.path() / "claim-code";
    std::string word;
    {
      Store store = std::move(*Store::open(path));
      word = people::open_claim(store, claim_path, note())->word;
    }
    std::atomic<int> ready = 0, won = 0, late = 0;
    const auto claimant = [&](const char* name) {
      Store store = std::move(*Store::open(path));
      ConsolePeople people(store, claim_path);
      ++ready;
      while (ready < 2) {
        std::this_thread::yield();
      }
      const auto outcome =
          people.claim(word, name, kPassword, kAddress, now_, steady_);
      if (outcome && *outcome) {
        ++won;
      } else if (outcome && outcome->error().why == Refusal::kAlreadyClaimed) {
        ++late;
      }
    };
    std::thread first(claimant, "alder"), second(claimant, "birch");
    first.join();
    second.join();
    EXPECT_EQ(won, 1);
    EXPECT_EQ(late, 1);
    Store store = std::move(*Store::open(path));
    EXPECT_EQ(store.users().list()->size(), 1U);
    LogQuery query;
    query.kinds = {LogKind::kClaimed};
    EXPECT_EQ(store.logbook().read(query)->size(), 1U);
  }
}

}  // namespace
}  // namespace stillpoint::people

// A disk that is full or read-only: said in words, and over when it is over.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <csignal>

#include "stillpoint/store/record_test_support.h"
#include "stillpoint/store/store_test_support.h"
#include "stillpoint/store/test_vfs.h"

namespace stillpoint {
namespace {

const User kUser{"tractor-2", UserKind::kStream, "hash", {}, {}, true};

void expect_words(const Error& error,
                  const std::filesystem::path& path,
                  const std::string& words) {
  EXPECT_EQ(error.code, ErrorCode::kIo);
  EXPECT_EQ(error.where, path);
  EXPECT_NE(error.what.find(words), std::string::npos) << error.what;
  EXPECT_FALSE(error.remedy.empty());
}

// Fails every kind of write in words, and still answers.
void expect_refusals(Store& store,
                     const std::filesystem::path& path,
                     const std::string& words) {
  const NamedMinute batch[] = {{"x", {test::at_second(60), 1, 1, 1, 1}}};
  const auto appended = store.logbook().append(test::entry_at(2));
  ASSERT_FALSE(appended);
  expect_words(appended.error(), path, words);
  const Status user = store.users().add(kUser, {test::at_second(2), "x"});
  ASSERT_FALSE(user);
  expect_words(user.error(), path, words);
  const Status minutes = store.minutes().add(batch);
  ASSERT_FALSE(minutes);
  expect_words(minutes.error(), path, words);
  const ChangeNote note{test::at_second(2), "x"};
  const auto record = store.positions().add(test::record_by_hand(), note);
  ASSERT_FALSE(record);
  expect_words(record.error(), path, words);
  const Status claim = store.console_access().open_claim(
      {"hash", test::at_second(2), test::at_second(3)}, note);
  ASSERT_FALSE(claim);
  expect_words(claim.error(), path, words);
  EXPECT_EQ(test::texts(store.logbook().read({})),
            std::vector<std::string>{"before"});
}

void expect_cured(Store& store) {
  const NamedMinute batch[] = {{"x", {test::at_second(60), 1, 1, 1, 1}}};
  EXPECT_TRUE(
      store.logbook().append(test::entry_at(3, LogKind::kSourceBack, "after")));
  EXPECT_TRUE(store.users().add(kUser, {test::at_second(4), "x"}));
  EXPECT_TRUE(store.minutes().add(batch));
  EXPECT_EQ(
      test::texts(store.logbook().read({})),
      (std::vector<std::string>{"user tractor-2 added", "after", "before"}));
  const ChangeNote note{test::at_second(5), "x"};
  EXPECT_EQ(store.positions().add(test::record_by_hand(), note), 1);
  EXPECT_EQ(store.positions().adopt(1, "why", note), 1);
  EXPECT_TRUE(store.console_access().open_claim(
      {"hash", test::at_second(2), test::at_second(3)}, note));
}

class Trouble : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const std::filesystem::path path_ = folder_ / "station.db";

  Store started() {
    Store store = test::open_or_stop(path_);
    EXPECT_TRUE(store.logbook().append(
        test::entry_at(1, LogKind::kSourceBack, "before")));
    return store;
  }
};

TEST_F(Trouble, AFullDiskIsSaidAndAllGoesOnWhenThereIsRoom) {
  test::TestDisk disk;
  Store store = started();
  disk.fault = test::DiskFault::kFull;
  expect_refusals(store, path_, "database or disk is full (SQLite code 13");
  disk.fault = test::DiskFault::kNone;
  expect_cured(store);
}

TEST_F(Trouble, ADiskThatTurnsReadOnlyIsSaidAndAllGoesOnWhenItIsCured) {
  test::TestDisk disk;
  Store store = started();
  disk.fault = test::DiskFault::kReadOnly;
  expect_refusals(store, path_, "readonly database");
  disk.fault = test::DiskFault::kNone;
  expect_cured(store);
}

TEST_F(Trouble, OpeningOnAReadOnlyDiskIsRefusedInWords) {
  test::TestDisk disk;
  { const Store closed = started(); }
  disk.fault = test::DiskFault::kReadOnly;
  const Result<Store> refused = Store::open(path_);
  ASSERT_FALSE(refused);
  expect_words(refused.error(), path_, "readonly database");
  disk.fault = test::DiskFault::kNone;
  Store store = test::open_or_stop(path_);
  expect_cured(store);
}

TEST_F(Trouble, MakingADatabaseOnAFullDiskFailsAndWorksLater) {
  test::TestDisk disk;
  disk.fault = test::DiskFault::kFull;
  const Result<Store> refused = Store::open(path_);
  ASSERT_FALSE(refused);
  expect_words(refused.error(), path_, "full");
  disk.fault = test::DiskFault::kNone;
  Store store = test::open_or_stop(path_);
  EXPECT_TRUE(store.logbook().append(test::entry_at(1)));
}

// The operating system's own refusal, without our file layer: no file may
// grow beyond what it is.
TEST_F(Trouble, ALimitOfTheSystemIsSaidAndAllGoesOnAfterIt) {
  Store store = started();
  const auto previous = std::signal(SIGXFSZ, SIG_IGN);
  rlimit before{};
  ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &before), 0);
  rlimit small = before;
  small.rlim_cur = 4096;
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &small), 0);
  expect_refusals(store, path_, "disk I/O error");
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &before), 0);
  std::signal(SIGXFSZ, previous);
  expect_cured(store);
}

}  // namespace
}  // namespace stillpoint

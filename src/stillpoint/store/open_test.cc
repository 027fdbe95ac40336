// Opening station.db: new, used, damaged, foreign, newer.
#include <gtest/gtest.h>

#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

namespace fs = std::filesystem;

class OpenTest : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const fs::path path_ = folder_ / "station.db";

  void make_with_entries(int count) {
    Store store = test::open_or_stop(path_);
    for (int i = 0; i < count; ++i) {
      ASSERT_TRUE(store.logbook().append(
          test::entry_at(i, LogKind::kSourceBack, std::string(400, 'x'))));
    }
  }

  Error refusal() {
    const Result<Store> store = Store::open(path_);
    EXPECT_FALSE(store);
    return store ? Error{} : store.error();
  }
};

TEST_F(OpenTest, ANewDatabaseIsOursPrivateAndAtTheNewestVersion) {
  const Store store = test::open_or_stop(path_);
  EXPECT_EQ(fs::status(path_).permissions(),
            fs::perms::owner_read | fs::perms::owner_write);
  EXPECT_EQ(fs::status(folder_ / "station.db-wal").permissions(),
            fs::perms::owner_read | fs::perms::owner_write);
  EXPECT_EQ(test::foreign_answer(path_, "PRAGMA application_id"), "1397769282");
  EXPECT_EQ(test::foreign_answer(path_, "PRAGMA user_version"), "2");
  EXPECT_EQ(test::foreign_answer(path_, "PRAGMA journal_mode"), "wal");
  EXPECT_FALSE(store.upgrade());
}

TEST_F(OpenTest, AClosedDatabaseIsOneFile) {
  make_with_entries(3);
  EXPECT_TRUE(fs::exists(path_));
  EXPECT_FALSE(fs::exists(folder_ / "station.db-wal"));
  EXPECT_FALSE(fs::exists(folder_ / "station.db-shm"));
}

TEST_F(OpenTest, AnEmptyFileBecomesADatabase) {
  test::write_bytes(path_, "");
  Store store = test::open_or_stop(path_);
  EXPECT_TRUE(store.logbook().append(test::entry_at(1)));
}

TEST_F(OpenTest, TwoStoresSeeEachOthersEntries) {
  Store writer = test::open_or_stop(path_);
  Store reader = test::open_or_stop(path_);
  ASSERT_TRUE(writer.logbook().append(test::entry_at(1)));
  EXPECT_EQ(test::texts(reader.logbook().read({})).size(), 1U);
  ASSERT_TRUE(reader.logbook().append(test::entry_at(2)));
  EXPECT_EQ(test::texts(writer.logbook().read({})).size(), 2U);
}

TEST_F(OpenTest, AMovedStoreGoesOn) {
  Store first = test::open_or_stop(path_);
  Store second = std::move(first);
  EXPECT_TRUE(second.logbook().append(test::entry_at(1)));
}

TEST_F(OpenTest, AMissingFolderIsSaid) {
  const Result<Store> store = Store::open(folder_ / "no" / "station.db");
  ASSERT_FALSE(store);
  EXPECT_EQ(store.error().code, ErrorCode::kIo);
  EXPECT_EQ(store.error().where, folder_ / "no" / "station.db");
}

TEST_F(OpenTest, AnEmptyPathAndAFolderAreRefused) {
  EXPECT_EQ(Store::open("").error().code, ErrorCode::kIo);
  fs::create_directory(path_);
  EXPECT_EQ(refusal().code, ErrorCode::kIo);
}

TEST_F(OpenTest, ANewerDatabaseIsRefusedInWordsAndLeftUntouched) {
  make_with_entries(3);
  ASSERT_EQ(test::foreign_sql(path_,
                              "CREATE TABLE later (x); "
                              "PRAGMA user_version = 7"),
            "");
  const std::string before = test::file_bytes(path_);
  const Error error = refusal();
  EXPECT_EQ(error.code, ErrorCode::kUnsupported);
  EXPECT_EQ(error.what,
            "this database was written by a newer program: it has version 7, "
            "and this program knows versions up to 2");
  EXPECT_EQ(error.where, path_);
  EXPECT_NE(error.remedy.find("install the newer program"), std::string::npos);
  EXPECT_EQ(test::file_bytes(path_), before);
}

// The newer program was killed: its last writes are in the log file only.
TEST_F(OpenTest, ANewerDatabaseWithItsLogKeepsTheLogToo) {
  const test::TempFolder other;
  {
    const Store store = test::open_or_stop(path_);
    ASSERT_EQ(test::foreign_sql(path_, "PRAGMA user_version = 7"), "");
    fs::copy_file(path_, other / "station.db");
    fs::copy_file(folder_ / "station.db-wal", other / "station.db-wal");
  }
  const std::string file = test::file_bytes(other / "station.db");
  const std::string log = test::file_bytes(other / "station.db-wal");
  ASSERT_FALSE(log.empty());
  const Result<Store> refused = Store::open(other / "station.db");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kUnsupported);
  EXPECT_EQ(test::file_bytes(other / "station.db"), file);
  EXPECT_EQ(test::file_bytes(other / "station.db-wal"), log);
}

TEST_F(OpenTest, ADatabaseOfAnotherProgramIsRefusedAndLeftUntouched) {
  for (const char* sql : {"CREATE TABLE theirs (x)",
                          "PRAGMA user_version = 1",
                          "PRAGMA application_id = 5"}) {
    fs::remove(path_);
    ASSERT_EQ(test::foreign_sql(path_, sql), "");
    const std::string before = test::file_bytes(path_);
    const Error error = refusal();
    EXPECT_EQ(error.code, ErrorCode::kBadFormat) << sql;
    EXPECT_EQ(error.what, "this is a database of another program");
    EXPECT_EQ(test::file_bytes(path_), before);
  }
}

TEST_F(OpenTest, AFileThatIsNoDatabaseIsRefusedAndLeftUntouched) {
  const std::string text(5000, 'n');
  test::write_bytes(path_, text);
  const Error error = refusal();
  EXPECT_EQ(error.code, ErrorCode::kBadFormat);
  EXPECT_NE(error.what.find("file is not a database"), std::string::npos);
  EXPECT_NE(error.remedy.find("newest backup"), std::string::npos);
  EXPECT_EQ(test::file_bytes(path_), text);
}

// Every page but the first, overwritten one at a time.
TEST_F(OpenTest, ADamagedPageIsFoundAtTheStartWithARemedy) {
  make_with_entries(60);
  const std::string good = test::file_bytes(path_);
  ASSERT_GT(good.size(), 10U * 4096);
  for (std::size_t page = 1; page < good.size() / 4096; ++page) {
    std::string bad = good;
    bad.replace(page * 4096, 4096, 4096, '\xA5');
    test::write_bytes(path_, bad);
    const Error error = refusal();
    EXPECT_EQ(error.code, ErrorCode::kBadFormat) << "page " << page;
    EXPECT_EQ(error.where, path_);
    EXPECT_NE(error.remedy.find("newest backup"), std::string::npos);
    EXPECT_EQ(test::file_bytes(path_), bad);
  }
}

TEST_F(OpenTest, AFileCutShortIsFoundAtTheStart) {
  make_with_entries(60);
  const std::string good = test::file_bytes(path_);
  test::write_bytes(path_, good.substr(0, good.size() / 2));
  EXPECT_EQ(refusal().code, ErrorCode::kBadFormat);
}

}  // namespace
}  // namespace stillpoint

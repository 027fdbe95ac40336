// From one version to the next, tried on steps that only this test knows; the
// steps that were released are in upgrade_test.cc.
#include "stillpoint/store/migrate.h"

#include <gtest/gtest.h>
#include <sqlite3.h>

#include <array>

#include "stillpoint/store/store_test_support.h"
#include "stillpoint/store/test_vfs.h"

namespace stillpoint {
namespace {

namespace fs = std::filesystem;

const Migration kFirst = migrations()[0];
const Migration kSecond = migrations()[1];
constexpr Migration kThird{3,
                           "CREATE TABLE pets (name TEXT);"
                           "INSERT INTO pets VALUES ('cat');"
                           "PRAGMA user_version = 3"};
constexpr Migration kFourth{4,
                            "ALTER TABLE pets ADD COLUMN legs INTEGER;"
                            "PRAGMA user_version = 4"};
constexpr Migration kBroken{4,
                            "ALTER TABLE pets ADD COLUMN legs INTEGER;"
                            "INSERT INTO nowhere VALUES (1);"
                            "PRAGMA user_version = 4"};
constexpr Migration kForgetful{4, "CREATE TABLE more (x)"};
constexpr Migration kDangling{4,
                              "INSERT INTO minutes VALUES (0, 99, 1, 0, 0, 0);"
                              "PRAGMA user_version = 4"};

class MigrateTest : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const fs::path path_ = folder_ / "station.db";
  const fs::path copy_ = folder_ / "station.db.version-2";

  void SetUp() override {
    Store store = test::open_or_stop(path_);
    ASSERT_TRUE(store.logbook().append(
        test::entry_at(1, LogKind::kStarted, "old entry")));
  }

  Result<std::optional<Migrated>> take(std::span<const Migration> steps) {
    auto database = Database::open(path_, SQLITE_OPEN_READWRITE);
    if (!database) {
      return fail(database.error());
    }
    return migrate(**database, steps);
  }
  std::string answer(const std::string& sql) {
    return test::foreign_answer(path_, sql);
  }
};

TEST(Migrations, AreNumberedFromOneWithoutHoles) {
  int expected = 1;
  for (const Migration& step : migrations()) {
    EXPECT_EQ(step.version, expected++);
  }
  EXPECT_GT(expected, 1);
}

TEST_F(MigrateTest, TakesEveryStepThatIsMissingAndKeepsTheOldFile) {
  const std::array steps{kFirst, kSecond, kThird, kFourth};
  const auto done = take(steps);
  ASSERT_TRUE(done) << done.error().text();
  ASSERT_TRUE(done->has_value());
  EXPECT_EQ((*done)->from, 2);
  EXPECT_EQ((*done)->to, 4);
  EXPECT_EQ((*done)->copy, copy_);
  EXPECT_EQ(answer("PRAGMA user_version"), "4");
  EXPECT_EQ(answer("SELECT name FROM pets WHERE legs IS NULL"), "cat");
  EXPECT_EQ(answer("SELECT text FROM logbook"), "old entry");

  // Read before SQLite touches it: the copy is complete without other files.
  EXPECT_FALSE(fs::exists(folder_ / "station.db.version-2.part"));
  EXPECT_FALSE(fs::exists(folder_ / "station.db.version-2-wal"));
  EXPECT_EQ(fs::status(copy_).permissions(),
            fs::perms::owner_read | fs::perms::owner_write);
  Store old = test::open_or_stop(copy_);
  EXPECT_EQ(test::texts(old.logbook().read({})),
            std::vector<std::string>{"old entry"});
}

TEST_F(MigrateTest, CopiesEntriesThatAreStillInTheLogFile) {
  Store running = test::open_or_stop(path_);
  ASSERT_TRUE(running.logbook().append(
      test::entry_at(2, LogKind::kStarted, "newest entry")));
  const std::array steps{kFirst, kSecond, kThird};
  ASSERT_TRUE(take(steps));
  Store old = test::open_or_stop(copy_);
  EXPECT_EQ(test::texts(old.logbook().read({})),
            (std::vector<std::string>{"newest entry", "old entry"}));
}

TEST_F(MigrateTest, DoesNothingAtTheRightVersion) {
  const auto done = take(migrations());
  ASSERT_TRUE(done);
  EXPECT_FALSE(done->has_value());
  EXPECT_FALSE(fs::exists(copy_));
}

TEST_F(MigrateTest, AStepThatFailsLeavesTheOldVersionWhole) {
  for (const Migration& bad : {kBroken, kForgetful, kDangling}) {
    const std::array steps{kFirst, kSecond, kThird, bad};
    const auto done = take(steps);
    ASSERT_FALSE(done);
    EXPECT_EQ(done.error().code, ErrorCode::kInternal);
    EXPECT_EQ(done.error().where, path_);
    EXPECT_EQ(answer("PRAGMA user_version"), "2");
    EXPECT_EQ(answer("SELECT count(*) FROM sqlite_schema "
                     "WHERE name = 'pets'"),
              "0");
    Store store = test::open_or_stop(path_);
    EXPECT_EQ(test::texts(store.logbook().read({})),
              std::vector<std::string>{"old entry"});
  }
}

TEST_F(MigrateTest, WithoutRoomForTheCopyNoStepIsTaken) {
  {
    test::TestDisk disk;
    disk.fault = test::DiskFault::kFull;
    const std::array steps{kFirst, kSecond, kThird};
    const auto done = take(steps);
    ASSERT_FALSE(done);
    EXPECT_EQ(done.error().code, ErrorCode::kIo);
    EXPECT_FALSE(fs::exists(copy_));
    EXPECT_FALSE(fs::exists(folder_ / "station.db.version-2.part"));
  }
  EXPECT_EQ(answer("PRAGMA user_version"), "2");
}

TEST_F(MigrateTest, AnOldCopyIsReplacedByAWholeOne) {
  test::write_bytes(copy_, "left over");
  test::write_bytes(folder_ / "station.db.version-2.part", "half a copy");
  const std::array steps{kFirst, kSecond, kThird};
  ASSERT_TRUE(take(steps));
  Store old = test::open_or_stop(copy_);
  EXPECT_EQ(test::texts(old.logbook().read({})).size(), 1U);
}

}  // namespace
}  // namespace stillpoint

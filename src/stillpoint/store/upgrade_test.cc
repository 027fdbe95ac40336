// Databases as older programs left them, opened by this one.
#include <gtest/gtest.h>
#include <sqlite3.h>

#include "stillpoint/store/migrate.h"
#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

namespace fs = std::filesystem;

class FromVersion1 : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const fs::path path_ = folder_ / "station.db";
  const fs::path copy_ = folder_ / "station.db.version-1";

  // With rows that only SQL of that time has written.
  void SetUp() override {
    test::write_bytes(path_, "");
    {
      auto database = Database::open(path_, SQLITE_OPEN_READWRITE);
      ASSERT_TRUE(database);
      const auto made = migrate(**database, migrations().first(1));
      ASSERT_TRUE(made) << made.error().text();
    }
    ASSERT_EQ(
        test::foreign_sql(
            path_,
            "PRAGMA journal_mode = WAL;"
            "INSERT INTO logbook (at_gpst_ns, kind, text, details) VALUES"
            " (5, 13, 'user ditch-1 added',"
            " '{\"change\":\"added\",\"user\":\"ditch-1\",\"by\":\"x\"}');"
            "INSERT INTO users VALUES ('ditch-1', 2, 'hash-a', 2, NULL, 1),"
            " ('club-guest', 1, 'hash-b', NULL, 7, 0);"
            "INSERT INTO series (name) VALUES ('cn0_dbhz.G.1C');"
            "INSERT INTO minutes VALUES (60000000000, 1, 3, 120, 39, 41)"),
        "");
  }
};

TEST_F(FromVersion1, EverythingIsKept) {
  Store store = test::open_or_stop(path_);
  EXPECT_EQ(test::texts(store.logbook().read({})),
            std::vector<std::string>{"user ditch-1 added"});
  const User ditch{"ditch-1", UserKind::kStream, "hash-a", 2, {}, true};
  const User guest{"club-guest", UserKind::kPerson, "hash-b", {}, 7, false};
  EXPECT_EQ(store.users().list().value(), (std::vector{guest, ditch}));
  EXPECT_EQ(store.users().find("club-guest").value()->role, std::nullopt);
  const auto minutes = store.minutes().read("cn0_dbhz.G.1C",
                                            GnssTime::from_ns(0),
                                            GnssTime::from_ns(120'000'000'000));
  ASSERT_TRUE(minutes);
  ASSERT_EQ(minutes->size(), 1U);
  EXPECT_EQ(minutes->front().count, 3);
}

TEST_F(FromVersion1, TheOldFileIsCopiedAndTheUpgradeSaid) {
  {
    const Store store = test::open_or_stop(path_);
    ASSERT_TRUE(store.upgrade());
    EXPECT_EQ(store.upgrade()->from_version, 1);
    EXPECT_EQ(store.upgrade()->to_version, 2);
    EXPECT_EQ(store.upgrade()->copy, copy_);
  }
  EXPECT_EQ(test::foreign_answer(path_, "PRAGMA user_version"), "2");
  EXPECT_EQ(test::foreign_answer(copy_, "PRAGMA user_version"), "1");
  EXPECT_EQ(test::foreign_answer(copy_, "SELECT count(*) FROM users"), "2");
  EXPECT_EQ(test::foreign_answer(copy_,
                                 "SELECT count(*) FROM sqlite_schema"
                                 " WHERE name = 'position_records'"),
            "0");
  EXPECT_FALSE(test::open_or_stop(path_).upgrade());
}

TEST_F(FromVersion1, WhatIsNewWorks) {
  Store store = test::open_or_stop(path_);
  User guest = store.users().find("club-guest").value().value();
  guest.role = Role::kOwner;
  guest.enabled = true;
  ASSERT_TRUE(store.users().change(guest, {test::at_second(1), "test"}));
  EXPECT_EQ(store.users().find("club-guest").value(), guest);
  EXPECT_EQ(store.positions().list().value().size(), 0U);
  ASSERT_TRUE(store.logbook().append({test::at_second(2),
                                      LogKind::kSolveEnded,
                                      "a solution",
                                      {{"result", std::string("converged")}}}));
}

}  // namespace
}  // namespace stillpoint

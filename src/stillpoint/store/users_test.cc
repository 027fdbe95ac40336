#include "stillpoint/store/users.h"

#include <gtest/gtest.h>

#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

class UsersTest : public ::testing::Test {
 protected:
  test::TempFolder folder_;
  Store store_ = test::open_or_stop(folder_ / "station.db");
  Users& users_ = store_.users();
  const User ditch_{"ditch-1", UserKind::kStream, "hash-a", 2, 9'000'000, true};
  const User guest_{
      "club-guest", UserKind::kPerson, "hash-b", std::nullopt, 0, false};
  const ChangeNote note_{test::at_second(5), "command line"};

  std::vector<std::string> log() {
    return test::texts(store_.logbook().read({}));
  }
  std::vector<User> list() { return users_.list().value(); }
};

TEST_F(UsersTest, AreKeptByName) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  ASSERT_TRUE(users_.add(guest_, note_));
  EXPECT_EQ(list(), (std::vector{guest_, ditch_}));
  EXPECT_EQ(users_.find("ditch-1").value(), ditch_);
  EXPECT_EQ(users_.find("Ditch-1").value(), std::nullopt);
}

TEST_F(UsersTest, OutliveTheStore) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  Store again = test::open_or_stop(folder_ / "station.db");
  EXPECT_EQ(again.users().list().value(), std::vector{ditch_});
}

TEST_F(UsersTest, EveryChangeIsInTheLogbookWithoutTheHash) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  User changed = ditch_;
  changed.secret_hash = "hash-c";
  changed.max_connections = std::nullopt;
  changed.max_bytes_per_hour = 1;
  changed.enabled = false;
  changed.kind = UserKind::kPerson;
  ASSERT_TRUE(users_.change(changed, note_));
  ASSERT_TRUE(users_.remove("ditch-1", note_));
  EXPECT_EQ(log(),
            (std::vector<std::string>{
                "user ditch-1 removed",
                "user ditch-1 changed: kind, secret, max_connections, "
                "max_bytes_per_hour, enabled",
                "user ditch-1 added"}));
  EXPECT_EQ(list(), std::vector<User>{});
  const auto entries = store_.logbook().read({});
  const LogEntry& added = entries->back().entry;
  EXPECT_EQ(added.at, note_.at);
  EXPECT_EQ(added.kind, LogKind::kUserChanged);
  EXPECT_EQ(added.details,
            (std::vector<LogDetail>{{"change", std::string("added")},
                                    {"user", std::string("ditch-1")},
                                    {"by", std::string("command line")}}));
  for (const StoredEntry& stored : *entries) {
    for (const LogDetail& detail : stored.entry.details) {
      EXPECT_EQ(std::get<std::string>(detail.value).find("hash-"),
                std::string::npos);
    }
  }
}

TEST_F(UsersTest, ChangeOfNothingWritesNothing) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  ASSERT_TRUE(users_.change(ditch_, note_));
  EXPECT_EQ(log().size(), 1U);
}

TEST_F(UsersTest, NamesThatAreTakenOrMissingAreRefused) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  EXPECT_EQ(users_.add(ditch_, note_).error().code, ErrorCode::kUsage);
  EXPECT_EQ(users_.change(guest_, note_).error().code, ErrorCode::kNoData);
  EXPECT_EQ(users_.remove("tractor-2", note_).error().code, ErrorCode::kNoData);
  EXPECT_EQ(log().size(), 1U);
  EXPECT_EQ(list(), std::vector{ditch_});
}

TEST_F(UsersTest, ValuesThatCannotBeAreRefused) {
  const auto code = [&](const User& user) {
    return users_.add(user, note_).error().code;
  };
  for (const std::string& name :
       {std::string(), std::string("a\nb"), std::string(65, 'a')}) {
    User user = ditch_;
    user.name = name;
    EXPECT_EQ(code(user), ErrorCode::kOutOfRange) << name;
  }
  User user = ditch_;
  user.secret_hash = "";
  EXPECT_EQ(code(user), ErrorCode::kOutOfRange);
  user = ditch_;
  user.max_connections = -1;
  EXPECT_EQ(code(user), ErrorCode::kOutOfRange);
  user = ditch_;
  user.max_bytes_per_hour = -1;
  EXPECT_EQ(code(user), ErrorCode::kOutOfRange);
  EXPECT_EQ(list(), std::vector<User>{});
  EXPECT_TRUE(log().empty());
}

// The entry and the change are one: where the logbook cannot be written, the
// user stays as it was.
TEST_F(UsersTest, NoChangeWithoutItsEntry) {
  ASSERT_TRUE(users_.add(ditch_, note_));
  ASSERT_EQ(test::foreign_sql(folder_ / "station.db",
                              "CREATE TRIGGER jam BEFORE INSERT ON logbook "
                              "BEGIN SELECT RAISE(ABORT, 'jammed'); END"),
            "");
  User changed = ditch_;
  changed.enabled = false;
  EXPECT_FALSE(users_.add(guest_, note_));
  EXPECT_FALSE(users_.change(changed, note_));
  EXPECT_FALSE(users_.remove("ditch-1", note_));
  EXPECT_EQ(list(), std::vector{ditch_});
  ASSERT_EQ(test::foreign_sql(folder_ / "station.db", "DROP TRIGGER jam"), "");
  EXPECT_TRUE(users_.change(changed, note_));
  EXPECT_EQ(list(), std::vector{changed});
}

TEST_F(UsersTest, RolesAreKeptAndInTheLogbook) {
  User person = guest_;
  person.role = Role::kHelper;
  ASSERT_TRUE(users_.add(person, note_));
  EXPECT_EQ(users_.find("club-guest").value(), person);
  person.role = Role::kGuest;
  ASSERT_TRUE(users_.change(person, note_));
  person.role.reset();
  ASSERT_TRUE(users_.change(person, note_));
  EXPECT_EQ(users_.find("club-guest").value(), person);
  const auto entries = store_.logbook().read({}).value();
  ASSERT_EQ(entries.size(), 3U);
  const auto last = [](const StoredEntry& stored) {
    return stored.entry.details.back();
  };
  EXPECT_EQ(last(entries[2]), (LogDetail{"role", std::string("helper")}));
  EXPECT_EQ(last(entries[1]), (LogDetail{"role", std::string("guest")}));
  EXPECT_EQ(last(entries[0]), (LogDetail{"fields", std::string("role")}));
}

TEST_F(UsersTest, AStreamHasNoRole) {
  User user = ditch_;
  user.role = Role::kGuest;
  EXPECT_EQ(users_.add(user, note_).error().code, ErrorCode::kOutOfRange);
  EXPECT_EQ(test::foreign_sql(folder_ / "station.db",
                              "INSERT INTO users VALUES"
                              " ('x', 2, 'h', NULL, NULL, 1, 1)"),
            "CHECK constraint failed: "
            "role IS NULL OR (role IN (1, 2, 3) AND kind = 1)");
}

TEST_F(UsersTest, TheLastEnabledOwnerStays) {
  const User alder{
      "alder", UserKind::kPerson, "hash-a", {}, {}, true, Role::kOwner};
  User birch = alder;
  birch.name = "birch";
  birch.enabled = false;
  EXPECT_EQ(users_.has_owner(), false);
  ASSERT_TRUE(users_.add(birch, note_));
  EXPECT_EQ(users_.has_owner(), false);
  ASSERT_TRUE(users_.add(alder, note_));
  EXPECT_EQ(users_.has_owner(), true);
  User disabled = alder;
  disabled.enabled = false;
  User helper = alder;
  helper.role = Role::kHelper;
  User none = alder;
  none.role.reset();
  User stream = none;
  stream.kind = UserKind::kStream;
  const std::size_t entries = log().size();
  for (const User& user : {disabled, helper, none, stream}) {
    const Status refused = users_.change(user, note_);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().code, ErrorCode::kUsage);
    EXPECT_EQ(refused.error().remedy,
              "give another person the role of owner first");
  }
  EXPECT_EQ(users_.remove("alder", note_).error().code, ErrorCode::kUsage);
  EXPECT_EQ(users_.find("alder").value(), alder);
  EXPECT_EQ(log().size(), entries);
  // Another secret or limit is nobody's business.
  User changed = alder;
  changed.secret_hash = "hash-b";
  EXPECT_TRUE(users_.change(changed, note_));
  birch.enabled = true;
  ASSERT_TRUE(users_.change(birch, note_));
  EXPECT_TRUE(users_.change(helper, note_));
  EXPECT_EQ(users_.remove("birch", note_).error().code, ErrorCode::kUsage);
  EXPECT_TRUE(users_.remove("alder", note_));
  EXPECT_EQ(users_.has_owner(), true);
}

TEST_F(UsersTest, NamesAndHashesAreValuesWhateverTheySay) {
  User evil = ditch_;
  evil.name = "x'; DELETE FROM users; --";
  evil.secret_hash = "$argon$v=19$\"'`;";
  ASSERT_TRUE(users_.add(evil, note_));
  EXPECT_EQ(list(), std::vector{evil});
}

}  // namespace
}  // namespace stillpoint

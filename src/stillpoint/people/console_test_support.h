// A station with people of invented names, and clocks that stand still.
#pragma once

#include <gtest/gtest.h>
#include <sqlite3.h>

#include <cstdlib>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/people/console_people.h"
#include "stillpoint/people/people_test_support.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {

class ConsoleTest : public ::testing::Test {
 protected:
  using Outcome = tl::expected<NewSession, Refused>;
  static constexpr std::string_view kAddress = "192.0.2.7";
  static constexpr std::string_view kPassword = "four plain words here";

  const TempFolder folder_;
  const std::string database_ = folder_.path() / "station.db";
  const std::string claim_path_ = folder_.path() / "claim-code";
  GnssTime now_ = GnssTime::from_gps_week(2400, 100'000);
  ConsolePeople::Steady steady_ = std::chrono::hours{1000};
  std::optional<Store> store_ = opened();
  std::unique_ptr<ConsolePeople> people_ =
      std::make_unique<ConsolePeople>(*store_, claim_path_);

  Store opened() const {
    Result<Store> store = Store::open(database_);
    if (!store) {
      ADD_FAILURE() << store.error().text();
      std::abort();
    }
    return std::move(*store);
  }
  // Ends the program and starts it again.
  void restart() {
    people_.reset();
    store_.reset();
    store_.emplace(opened());
    people_ = std::make_unique<ConsolePeople>(*store_, claim_path_);
  }
  void pass(double seconds) {
    now_ = now_ + Duration{seconds};
    steady_ +=
        std::chrono::nanoseconds(static_cast<std::int64_t>(seconds * 1e9));
  }
  ChangeNote note() const { return {now_, "test"}; }

  void add(const std::string& name,
           std::optional<Role> role,
           std::string_view password = kPassword) {
    User user;
    user.name = name;
    user.secret_hash = hash_password(password).value();
    user.role = role;
    const Status added = store_->users().add(user, note());
    ASSERT_TRUE(added) << added.error().text();
  }
  ClaimCode open_claim() {
    return people::open_claim(*store_, claim_path_, note()).value();
  }
  Outcome claim(std::string_view code,
                std::string_view name = "alder",
                std::string_view password = kPassword,
                std::string_view address = kAddress) {
    return people_->claim(code, name, password, address, now_, steady_).value();
  }
  Outcome login(std::string_view name,
                std::string_view password = kPassword,
                std::string_view address = kAddress) {
    return people_->login(name, password, address, now_, steady_).value();
  }
  // The secret of a login that must succeed.
  std::string come_in(std::string_view name) {
    const Outcome outcome = login(name);
    EXPECT_TRUE(outcome);
    return outcome ? outcome->secret : std::string();
  }
  std::optional<Session> session(std::string_view secret) {
    return people_->session(secret, now_).value();
  }

  // As another program would.
  void run_sql(const std::string& sql) const {
    sqlite3* db = nullptr;
    ASSERT_EQ(sqlite3_open(database_.c_str(), &db), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr),
              SQLITE_OK)
        << sqlite3_errmsg(db);
    sqlite3_close(db);
  }

  // Texts of the entries of a kind, newest first.
  std::vector<std::string> log(LogKind kind) {
    LogQuery query;
    query.kinds = {kind};
    query.limit = LogQuery::kMostEntries;
    std::vector<std::string> texts;
    const auto entries = store_->logbook().read(query).value();
    texts.reserve(entries.size());
    for (const StoredEntry& stored : entries) {
      texts.push_back(stored.entry.text);
    }
    return texts;
  }
  LogEntry newest(LogKind kind) {
    LogQuery query;
    query.kinds = {kind};
    const auto entries = store_->logbook().read(query).value();
    return entries.empty() ? LogEntry{} : entries.front().entry;
  }

  static void expect_refused(const Outcome& outcome, Refusal why) {
    ASSERT_FALSE(outcome);
    EXPECT_EQ(outcome.error().why, why);
  }
};

}  // namespace stillpoint::people

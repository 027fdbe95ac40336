#include "stillpoint/station/chronicle.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <thread>

#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

class ChronicleTest : public testing::Test {
 protected:
  ChronicleOptions options() {
    ChronicleOptions options;
    options.database = folder_ / "station.db";
    return options;
  }

  // Runs until everything told so far is written, then ends it.
  void write_all(Chronicle& chronicle) {
    std::thread thread([&] { chronicle.run(); });
    chronicle.stop();
    thread.join();
  }

  std::vector<LogEntry> entries() {
    auto store = Store::open(folder_ / "station.db");
    EXPECT_TRUE(store);
    std::vector<LogEntry> found;
    LogQuery all;
    all.limit = LogQuery::kMostEntries;
    auto read = store->logbook().read(all);
    for (StoredEntry& stored : *read) {
      found.insert(found.begin(), std::move(stored.entry));
    }
    return found;
  }

  test::HandClock clock_;
  test::LogLines log_;
  test::TempFolder folder_;
};

TEST_F(ChronicleTest, WritesWhatItWasToldInOrder) {
  Chronicle chronicle(options(), clock_.clocks(), log_.logger());
  chronicle.tell(LogKind::kStarted, "one");
  clock_.advance(1);
  chronicle.tell(LogKind::kSourceSilent, "two", {{"cause", std::string("x")}});
  write_all(chronicle);
  const auto found = entries();
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].text, "one");
  EXPECT_EQ(found[1].text, "two");
  EXPECT_EQ((found[1].at - found[0].at).s, 1);
  EXPECT_TRUE(chronicle.facts().good);
  EXPECT_EQ(chronicle.facts().entries_waiting, 0U);
}

TEST_F(ChronicleTest, KnowsHowTheRunBeforeEnded) {
  for (const bool clean : {true, false}) {
    Chronicle first(options(), clock_.clocks(), log_.logger());
    first.tell(LogKind::kStarted, "up");
    if (clean) {
      clock_.advance(1);
      first.tell(LogKind::kStopped, "down");
    }
    write_all(first);
    clock_.advance(60);
    Chronicle second(options(), clock_.clocks(), log_.logger());
    write_all(second);
    ASSERT_TRUE(second.last_run());
    EXPECT_EQ(second.last_run()->clean, clean);
  }
}

TEST_F(ChronicleTest, ASwarmOfRoversFillsNoCardAndIsCountedInTheEnd) {
  ChronicleOptions few = options();
  few.most_rover_entries = 3;
  Chronicle chronicle(few, clock_.clocks(), log_.logger());
  for (int i = 0; i < 10; ++i) {
    chronicle.tell(LogKind::kRoverCame, "came");
  }
  clock_.advance(3600);
  chronicle.tell(LogKind::kRoverCame, "an hour later");
  write_all(chronicle);
  const auto found = entries();
  ASSERT_EQ(found.size(), 5U);
  const LogDetail wanted{"entries_count", std::int64_t{7}};
  EXPECT_NE(std::find(found[3].details.begin(), found[3].details.end(), wanted),
            found[3].details.end());
  EXPECT_EQ(found[4].text, "an hour later");
}

TEST_F(ChronicleTest, ADatabaseThatIsNotThereYetLosesNothing) {
  ChronicleOptions away = options();
  away.database = folder_ / "later/station.db";
  away.retry_after = std::chrono::seconds{1};
  Chronicle chronicle(away, clock_.clocks(), log_.logger());
  chronicle.tell(LogKind::kStarted, "early");
  std::thread thread([&] { chronicle.run(); });
  EXPECT_TRUE(
      test::wait_until([&] { return log_.count("cannot be used") == 1; }));
  EXPECT_FALSE(chronicle.facts().good);
  EXPECT_EQ(chronicle.facts().entries_waiting, 1U);
  std::filesystem::create_directory(folder_ / "later");
  clock_.advance(2);
  EXPECT_TRUE(test::wait_until([&] { return chronicle.facts().good; }));
  chronicle.stop();
  thread.join();
  EXPECT_EQ(chronicle.facts().entries_waiting, 0U);
}

TEST_F(ChronicleTest, OldMinutesGoOnlyWhileTheClockIsProved) {
  const GnssTime old = GnssTime::from_ns(600'000'000'000);
  for (const bool proved : {false, true}) {
    ChronicleOptions with = options();
    with.clock_proved = [proved] { return proved; };
    Chronicle chronicle(with, clock_.clocks(), log_.logger());
    chronicle.add_minutes({{"rovers_count", {old, 1, 2, 2, 2}}});
    write_all(chronicle);
    auto store = Store::open(folder_ / "station.db");
    ASSERT_TRUE(store);
    const auto kept =
        store->minutes().read("rovers_count", old, old + Duration{60});
    ASSERT_TRUE(kept);
    EXPECT_EQ(kept->size(), proved ? 0U : 1U);
  }
}

TEST_F(ChronicleTest, BeyondItsLimitTheOldestGoAndAreCounted) {
  ChronicleOptions small = options();
  small.most_waiting = 2;
  Chronicle chronicle(small, clock_.clocks(), log_.logger());
  for (const char* text : {"a", "b", "c"}) {
    chronicle.tell(LogKind::kStarted, text);
  }
  EXPECT_EQ(chronicle.facts().entries_dropped, 1U);
  write_all(chronicle);
  EXPECT_EQ(entries().front().text, "b");
}

TEST_F(ChronicleTest, ManyMinutesAreWrittenBeforeAnyIsTooMany) {
  // As where days are played in a minute: half of the limit is written at
  // once, however long the wait for company is.
  ChronicleOptions small = options();
  small.most_waiting = 40;
  small.minutes_wait = std::chrono::hours{1};
  Chronicle chronicle(small, clock_.clocks(), log_.logger());
  std::thread thread([&] { chronicle.run(); });
  const std::int64_t now_ns = clock_.clocks().wall().ns();
  const GnssTime first =
      GnssTime::from_ns(now_ns - now_ns % (60 * GnssTime::kNsPerS));
  const auto kept = [&] {
    auto store = Store::open(folder_ / "station.db");
    const auto rows = store->minutes().read(
        "rovers_count", first, first + Duration{60.0 * 1000});
    return rows ? rows->size() : 0;
  };
  std::size_t given = 0;
  for (int round = 0; round < 5; ++round) {
    std::vector<NamedMinute> twenty;
    for (int k = 0; k < 20; ++k) {
      const double minute = static_cast<double>(given++);
      twenty.push_back(
          {"rovers_count", {first + Duration{60 * minute}, 1, 2, 2, 2}});
    }
    chronicle.add_minutes(std::move(twenty));
    for (int look = 0; look < 3000 && kept() < given; ++look) {
      std::this_thread::sleep_for(std::chrono::milliseconds{10});
    }
    EXPECT_EQ(kept(), given);
  }
  chronicle.stop();
  thread.join();
}

TEST_F(ChronicleTest, WhoWaitsForAnEntryFindsItOnTheDisk) {
  Chronicle chronicle(options(), clock_.clocks(), log_.logger());
  std::thread thread([&] { chronicle.run(); });
  chronicle.tell(LogKind::kStarted, "one");
  EXPECT_TRUE(chronicle.wait_written(std::chrono::minutes{1}));
  EXPECT_EQ(entries().size(), 1U);
  chronicle.stop();
  thread.join();
}

TEST_F(ChronicleTest, AWaitForADatabaseThatIsNotThereEnds) {
  Chronicle chronicle(options(), clock_.clocks(), log_.logger());
  chronicle.tell(LogKind::kStarted, "nobody writes this");
  EXPECT_FALSE(chronicle.wait_written(std::chrono::milliseconds{1}));
}

}  // namespace
}  // namespace stillpoint::station

#include "stillpoint/store/logbook.h"

#include <gtest/gtest.h>

#include <limits>
#include <random>

#include "stillpoint/store/store_test_support.h"
#include "stillpoint/store/test_vfs.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

using Texts = std::vector<std::string>;

class LogbookTest : public ::testing::Test {
 protected:
  test::TempFolder folder_;
  Store store_ = test::open_or_stop(folder_ / "station.db");
  Logbook& book_ = store_.logbook();

  void write(std::int64_t second, LogKind kind, const std::string& text) {
    ASSERT_TRUE(book_.append(test::entry_at(second, kind, text)));
  }
};

TEST_F(LogbookTest, GivesBackWhatWasWritten) {
  const LogEntry lost{test::at_second(7),
                      LogKind::kBytesLost,
                      "10 s of bytes lost with the power",
                      {{"first_byte", std::int64_t{9'007'199'254'740'993}},
                       {"end_byte", std::int64_t{9'007'199'254'741'993}},
                       {"from_gpst_ns", test::at_second(1).ns()},
                       {"end_gpst_ns", test::at_second(6).ns()},
                       {"share", 0.1},
                       {"whole_seconds", 5.0},
                       {"found_at_start", true},
                       {"segment", std::string("\"quoted\" \\ \xC3\xA4")}}};
  const Result<std::int64_t> id = book_.append(lost);
  ASSERT_TRUE(id) << id.error().text();
  const auto read = book_.read({});
  ASSERT_TRUE(read) << read.error().text();
  ASSERT_EQ(read->size(), 1U);
  EXPECT_EQ(read->front().id, *id);
  EXPECT_EQ(read->front().entry, lost);
}

// A time in 32 bits of seconds since 1970 ends at 2038-01-19T03:14:07Z.
TEST_F(LogbookTest, KeepsInstantsAfter2038AndFarBeyond) {
  const GnssTime late[] = {
      *parse_time("2038-01-19T03:14:08Z"),
      *parse_time("2106-02-07T06:28:16.123456789Z"),
      *parse_time("2199-12-31T23:59:59.999999999"),
      GnssTime::from_ns(std::numeric_limits<std::int64_t>::max()),
      GnssTime::from_ns(-1)};
  for (const GnssTime at : late) {
    const LogEntry entry{
        at,
        LogKind::kGap,
        "late",
        {{"cause", std::string("test")}, {"end_gpst_ns", at.ns()}}};
    ASSERT_TRUE(book_.append(entry));
    LogQuery query;
    query.from = at;
    query.limit = 10;
    query.before = {{at, std::numeric_limits<std::int64_t>::max()}};
    const auto read = book_.read(query);
    ASSERT_TRUE(read);
    ASSERT_EQ(read->size(), 1U) << at.ns();
    EXPECT_EQ(read->front().entry, entry);
  }
}

TEST_F(LogbookTest, GivesTheNewestFirstByTimeThenByWriting) {
  write(10, LogKind::kStarted, "a");
  write(30, LogKind::kSourceBack, "b");
  write(20, LogKind::kClockStepped, "c");
  write(30, LogKind::kStopped, "d");
  EXPECT_EQ(test::texts(book_.read({})), (Texts{"d", "b", "c", "a"}));
}

TEST_F(LogbookTest, TakesTimesHalfOpen) {
  for (const int second : {1, 2, 3, 4}) {
    write(second, LogKind::kSourceBack, std::to_string(second));
  }
  LogQuery query;
  query.from = test::at_second(2);
  query.end = test::at_second(4);
  EXPECT_EQ(test::texts(book_.read(query)), (Texts{"3", "2"}));
  query.end = query.from;
  EXPECT_EQ(test::texts(book_.read(query)), Texts{});
  query.from.reset();
  query.end = GnssTime::from_ns(std::numeric_limits<std::int64_t>::min());
  EXPECT_EQ(test::texts(book_.read(query)), Texts{});
}

TEST_F(LogbookTest, PicksKindsAndMergesThem) {
  write(1, LogKind::kStarted, "started 1");
  write(2, LogKind::kRoverCame, "came 2");
  write(3, LogKind::kStopped, "stopped 3");
  write(3, LogKind::kStarted, "started 3");
  write(4, LogKind::kRoverCame, "came 4");
  LogQuery query;
  query.kinds = {LogKind::kStopped, LogKind::kStarted, LogKind::kStopped};
  EXPECT_EQ(test::texts(book_.read(query)),
            (Texts{"started 3", "stopped 3", "started 1"}));
  query.limit = 2;
  EXPECT_EQ(test::texts(book_.read(query)), (Texts{"started 3", "stopped 3"}));
  query.limit = 0;
  EXPECT_EQ(test::texts(book_.read(query)), Texts{});
}

// Whatever the page and the kinds, the pages laid end to end are the whole.
TEST_F(LogbookTest, PagesJoinWithoutHolesOrRepeats) {
  for (int i = 0; i < 40; ++i) {
    write(i / 4,
          i % 3 == 0 ? LogKind::kStarted : LogKind::kStopped,
          std::to_string(i));
  }
  for (const std::vector<LogKind>& kinds :
       {std::vector<LogKind>{},
        std::vector{LogKind::kStarted, LogKind::kStopped}}) {
    for (const std::size_t limit : {1U, 3U, 7U}) {
      LogQuery query;
      query.kinds = kinds;
      query.end = test::at_second(9);
      query.limit = limit;
      Texts all;
      for (;;) {
        const auto page = book_.read(query);
        ASSERT_TRUE(page);
        ASSERT_LE(page->size(), limit);
        if (page->empty()) {
          break;
        }
        for (const std::string& text : test::texts(page)) {
          all.push_back(text);
        }
        query.before = {{page->back().entry.at, page->back().id}};
      }
      ASSERT_EQ(all.size(), 36U);
      for (std::size_t i = 0; i < all.size(); ++i) {
        EXPECT_EQ(all[i], std::to_string(35 - i));
      }
    }
  }
}

TEST_F(LogbookTest, CleansWhatStrangersSendInsteadOfRefusing) {
  LogEntry entry = test::entry_at(1, LogKind::kRoverCame, "from\nhere\xFF");
  entry.details = {{"agent", std::string("x\r\nForged: 1\xC0")},
                   {"long", std::string(5000, 'a')}};
  ASSERT_TRUE(book_.append(entry));
  const auto read = book_.read({});
  ASSERT_TRUE(read);
  const LogEntry& kept = read->front().entry;
  EXPECT_EQ(kept.text, "from here\xEF\xBF\xBD");
  EXPECT_EQ(std::get<std::string>(kept.details[0].value),
            "x  Forged: 1\xEF\xBF\xBD");
  EXPECT_EQ(std::get<std::string>(kept.details[1].value).size(), 200U);
}

TEST_F(LogbookTest, RefusesDetailsThatCannotBe) {
  LogEntry entry = test::entry_at(1);
  entry.details = {{"x", std::numeric_limits<double>::quiet_NaN()}};
  EXPECT_EQ(book_.append(entry).error().code, ErrorCode::kOutOfRange);
  entry.details = {{"x", 1.0}, {"x", 2.0}};
  EXPECT_EQ(book_.append(entry).error().code, ErrorCode::kInternal);
  entry.details = {{"Not a word", 1.0}};
  EXPECT_EQ(book_.append(entry).error().code, ErrorCode::kInternal);
  entry.details.assign(33, {"x", 1.0});
  EXPECT_EQ(book_.append(entry).error().code, ErrorCode::kInternal);
  EXPECT_EQ(test::texts(book_.read({})), Texts{});
}

TEST_F(LogbookTest, HoldsEachKindToItsDetails) {
  for (const LogKindRow& row : log_kinds()) {
    LogEntry entry = test::entry_at(1, row.kind);
    for (const char* key : row.required) {
      const auto refused = book_.append(entry);
      ASSERT_FALSE(refused) << row.name;
      EXPECT_EQ(refused.error().code, ErrorCode::kInternal);
      entry.details.push_back({key, std::int64_t{1}});
    }
    EXPECT_TRUE(book_.append(entry)) << row.name;
  }
}

TEST_F(LogbookTest, KindsAreThoseOfTheDatabase) {
  std::string rows;
  for (const LogKindRow& row : log_kinds()) {
    rows += (rows.empty() ? "" : ",") +
            std::to_string(static_cast<int>(row.kind)) + "=" + row.name;
  }
  EXPECT_EQ(
      test::foreign_answer(folder_ / "station.db",
                           "SELECT group_concat(number || '=' || name) FROM "
                           "(SELECT * FROM logbook_kind ORDER BY number)"),
      rows);
}

TEST_F(LogbookTest, NeitherChangesNorForgetsAnEntry) {
  write(1, LogKind::kStarted, "kept");
  for (const char* sql :
       {"UPDATE logbook SET text = 'other'",
        "DELETE FROM logbook",
        "INSERT OR REPLACE INTO logbook VALUES (1, 0, 1, 'other', '{}')",
        "UPDATE OR REPLACE logbook SET id = 2"}) {
    EXPECT_EQ(test::foreign_sql(folder_ / "station.db", sql),
              "the logbook is append-only")
        << sql;
  }
  EXPECT_EQ(test::texts(book_.read({})), Texts{"kept"});
}

TEST_F(LogbookTest, SaysWhichEntryCannotBeUnderstood) {
  ASSERT_EQ(test::foreign_sql(folder_ / "station.db",
                              "INSERT INTO logbook VALUES (5, 0, 1, 'x', '3')"),
            "");
  const auto read = book_.read({});
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().code, ErrorCode::kBadFormat);
  EXPECT_NE(read.error().what.find("entry 5"), std::string::npos);
}

TEST_F(LogbookTest, TakesValuesAsValuesWhateverTheySay) {
  const std::string evil = "'); DROP TABLE logbook; --";
  LogEntry entry = test::entry_at(1, LogKind::kStarted, evil);
  entry.details = {{"by", evil}};
  ASSERT_TRUE(book_.append(entry));
  const auto read = book_.read({});
  ASSERT_TRUE(read);
  EXPECT_EQ(read->front().entry, entry);
}

// Entries that came at once, "0", "1", ... one second apart.
std::vector<LogEntry> batch_of(int count) {
  std::vector<LogEntry> batch;
  batch.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    batch.push_back(
        test::entry_at(100 + i, LogKind::kRoverCame, std::to_string(i)));
  }
  return batch;
}

TEST_F(LogbookTest, WritesABatchInItsOrderAndCleansIt) {
  write(1, LogKind::kStarted, "before");
  std::vector<LogEntry> batch = batch_of(3);
  batch[1].text = "from\nhere\xFF";
  ASSERT_TRUE(book_.append_all(batch));
  EXPECT_EQ(test::texts(book_.read({})),
            (Texts{"2", "from here\xEF\xBF\xBD", "0", "before"}));
  EXPECT_EQ(book_.read({})->front().id, 4);
  EXPECT_TRUE(book_.append_all({}));
  write(200, LogKind::kStopped, "after");
  EXPECT_EQ(test::texts(book_.read({})).size(), 5U);
}

TEST_F(LogbookTest, RefusesABatchAsAWhole) {
  std::vector<LogEntry> batch = batch_of(3);
  batch[2].details = {{"Not a word", 1.0}};
  EXPECT_EQ(book_.append_all(batch).error().code, ErrorCode::kInternal);
  EXPECT_EQ(test::texts(book_.read({})), Texts{});
  batch[2].details.clear();
  EXPECT_TRUE(book_.append_all(batch));
  EXPECT_EQ(test::texts(book_.read({})), (Texts{"2", "1", "0"}));
}

// A disk, and how often something new on it became lasting.
struct SyncCounter {
  test::TestDisk disk;
  test::DiskImage lasting;
  int syncs = 0;

  SyncCounter() {
    disk.context = this;
    disk.after_operation = [](void* context) {
      static_cast<SyncCounter*>(context)->look();
    };
  }

  void look() {
    test::DiskImage now = disk.synced();
    syncs += now == lasting ? 0 : 1;
    lasting = std::move(now);
  }
};

TEST(LogbookBatch, CostsOneSyncWhateverItsSize) {
  const test::TempFolder folder;
  SyncCounter counter;
  Store store = test::open_or_stop(folder / "station.db");
  // The first entry also begins the log file.
  ASSERT_TRUE(store.logbook().append(test::entry_at(1)));
  for (const int size : {1, 50}) {
    counter.syncs = 0;
    ASSERT_TRUE(store.logbook().append_all(batch_of(size)));
    EXPECT_EQ(counter.syncs, 1) << size;
  }
}

TEST(LogbookBatch, OnAFullDiskIsNotThereAndIsLaterWhole) {
  const test::TempFolder folder;
  test::TestDisk disk;
  Store store = test::open_or_stop(folder / "station.db");
  ASSERT_TRUE(store.logbook().append(
      test::entry_at(1, LogKind::kSourceBack, "before")));
  disk.fault = test::DiskFault::kFull;
  const Status refused = store.logbook().append_all(batch_of(3));
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kIo);
  EXPECT_EQ(test::texts(store.logbook().read({})), Texts{"before"});
  disk.fault = test::DiskFault::kNone;
  EXPECT_TRUE(store.logbook().append_all(batch_of(3)));
  EXPECT_EQ(test::texts(store.logbook().read({})),
            (Texts{"2", "1", "0", "before"}));
}

// Power that goes at every write and sync of a batch of more than one page.
TEST(LogbookBatch, AfterALossOfPowerIsWholeOrNotThere) {
  struct Recorder {
    test::TestDisk* disk = nullptr;
    std::minstd_rand chance{4};
    std::vector<test::DiskImage> moments;
  } recorder;
  std::vector<LogEntry> batch = batch_of(30);
  for (LogEntry& entry : batch) {
    entry.text += std::string(400, 'x');
  }
  std::size_t acknowledged_from = 0;
  {
    const test::TempFolder folder;
    test::TestDisk disk;
    recorder.disk = &disk;
    Store store = test::open_or_stop(folder / "station.db");
    disk.context = &recorder;
    disk.after_operation = [](void* context) {
      auto* to = static_cast<Recorder*>(context);
      to->moments.push_back(to->disk->after_power_loss(to->chance));
      to->moments.push_back(to->disk->synced());
    };
    ASSERT_TRUE(store.logbook().append_all(batch));
    acknowledged_from = recorder.moments.size();
    recorder.moments.push_back(disk.synced());
    recorder.moments.push_back(disk.after_power_loss(recorder.chance));
  }
  ASSERT_GT(acknowledged_from, 8U);
  for (std::size_t i = 0; i < recorder.moments.size(); ++i) {
    SCOPED_TRACE("moment " + std::to_string(i));
    const test::TempFolder folder;
    for (const auto& [name, bytes] : recorder.moments[i]) {
      test::write_bytes(folder / name.c_str(), bytes);
    }
    Store store = test::open_or_stop(folder / "station.db");
    const std::size_t found = test::texts(store.logbook().read({})).size();
    if (i >= acknowledged_from) {
      EXPECT_EQ(found, batch.size());
    } else {
      EXPECT_TRUE(found == 0 || found == batch.size()) << found;
    }
  }
}

}  // namespace
}  // namespace stillpoint

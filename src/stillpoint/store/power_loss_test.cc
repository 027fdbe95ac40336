// Power that goes at every single write, sync and deletion, one after the
// other: what append() had acknowledged is there, nothing else is.
#include <gtest/gtest.h>

#include <random>

#include "stillpoint/store/record_test_support.h"
#include "stillpoint/store/store_test_support.h"
#include "stillpoint/store/test_vfs.h"

namespace stillpoint {
namespace {

constexpr int kEntries = 8;
constexpr int kBatch = 3;  // minutes of one batch

// The disk at one moment, and what had been promised by then.
struct Moment {
  test::DiskImage disk;
  int entries = 0;
  int batches = 0;
};

struct Recorder {
  test::TestDisk* disk = nullptr;
  std::minstd_rand chance{8};
  int entries = 0, batches = 0;
  std::vector<Moment> moments;

  void note() {
    moments.push_back({disk->synced(), entries, batches});
    moments.push_back({disk->after_power_loss(chance), entries, batches});
  }
};

std::string text_of(int number) {
  return "entry " + std::to_string(number) + std::string(300, 'x');
}

std::vector<NamedMinute> batch_of(int number) {
  std::vector<NamedMinute> batch;
  batch.reserve(kBatch);
  for (int i = 0; i < kBatch; ++i) {
    batch.push_back(
        {"series" + std::to_string(i), {test::at_minute(number), 1, 1, 1, 1}});
  }
  return batch;
}

// Writes entries and batches in turn; the moments are taken on the way, the
// checkpoint at the end included.
void write_all(const std::filesystem::path& path, Recorder& recorder) {
  Store store = test::open_or_stop(path);
  for (int i = 0; i < kEntries; ++i) {
    if (i == kEntries / 2) {
      // The log file is emptied into the database and begun anew.
      ASSERT_EQ(test::foreign_sql(path, "PRAGMA wal_checkpoint"), "");
    }
    ASSERT_TRUE(store.logbook().append(
        test::entry_at(i, LogKind::kSourceBack, text_of(i))));
    ++recorder.entries;
    recorder.note();
    ASSERT_TRUE(store.minutes().add(batch_of(i)));
    ++recorder.batches;
    recorder.note();
  }
}

// Records and adoptions in turn, each with an entry of its own.
struct PositionMoment {
  test::DiskImage disk;
  std::int64_t records = 0, adoptions = 0;
};

struct PositionRecorder {
  test::TestDisk* disk = nullptr;
  std::minstd_rand chance{9};
  std::int64_t records = 0, adoptions = 0;
  std::vector<PositionMoment> moments;

  void note() {
    moments.push_back({disk->synced(), records, adoptions});
    moments.push_back({disk->after_power_loss(chance), records, adoptions});
  }
};

void write_positions(const std::filesystem::path& path,
                     PositionRecorder& recorder) {
  const ChangeNote note{test::at_second(1), "test"};
  Store store = test::open_or_stop(path);
  for (std::int64_t i = 1; i <= 4; ++i) {
    PositionRecord record =
        test::record_of_document(static_cast<char>('0' + i));
    record.document.append(9000, ' ');  // more than a page
    ASSERT_EQ(store.positions().add(record, note), i);
    ++recorder.records;
    recorder.note();
    ASSERT_EQ(store.positions().adopt(i, "newest", note), i);
    ++recorder.adoptions;
    recorder.note();
  }
}

void expect_positions_kept(const PositionMoment& moment) {
  const test::TempFolder folder;
  for (const auto& [name, bytes] : moment.disk) {
    test::write_bytes(folder / name.c_str(), bytes);
  }
  Store store = test::open_or_stop(folder / "station.db");
  const auto records =
      static_cast<std::int64_t>(store.positions().list().value().size());
  const auto adoptions =
      static_cast<std::int64_t>(store.positions().adoptions().value().size());
  EXPECT_GE(records, moment.records);
  EXPECT_LE(records, moment.records + 1);
  EXPECT_GE(adoptions, moment.adoptions);
  EXPECT_LE(adoptions, moment.adoptions + 1);
  const auto entries =
      static_cast<std::int64_t>(store.logbook().read({}).value().size());
  EXPECT_EQ(entries, records + adoptions);
  const auto adopted = store.positions().adopted().value();
  ASSERT_EQ(adopted.has_value(), adoptions > 0);
  if (adopted) {
    EXPECT_EQ(adopted->first.id, adoptions);
    const auto whole = store.positions().find(adoptions).value();
    ASSERT_TRUE(whole.has_value());
    EXPECT_GT(whole->record.document.size(), 9000U);
  }
}

void expect_promises_kept(const Moment& moment) {
  const test::TempFolder folder;
  for (const auto& [name, bytes] : moment.disk) {
    test::write_bytes(folder / name.c_str(), bytes);
  }
  Store store = test::open_or_stop(folder / "station.db");
  const std::vector<std::string> found = test::texts(store.logbook().read({}));
  const int count = static_cast<int>(found.size());
  // One more may have reached the disk just before its acknowledgement.
  EXPECT_GE(count, moment.entries);
  EXPECT_LE(count, moment.entries + 1);
  for (int i = 0; i < count; ++i) {
    EXPECT_EQ(found[static_cast<std::size_t>(count - 1 - i)], text_of(i));
  }
  for (int i = 0; i < kBatch; ++i) {
    const auto minutes = store.minutes().read("series" + std::to_string(i),
                                              test::at_second(0),
                                              test::at_minute(kEntries));
    ASSERT_TRUE(minutes);
    const int batches = static_cast<int>(minutes->size());
    EXPECT_GE(batches, moment.batches);
    EXPECT_LE(batches, moment.batches + 1);
  }
}

TEST(PowerLoss, AtEveryOperationKeepsWhatWasAcknowledgedAndInventsNothing) {
  Recorder recorder;
  {
    const test::TempFolder folder;
    test::TestDisk disk;
    recorder.disk = &disk;
    disk.context = &recorder;
    disk.after_operation = [](void* context) {
      static_cast<Recorder*>(context)->note();
    };
    write_all(folder / "station.db", recorder);
  }
  ASSERT_EQ(recorder.entries, kEntries);
  ASSERT_GT(recorder.moments.size(), 100U);
  for (std::size_t i = 0; i < recorder.moments.size(); ++i) {
    SCOPED_TRACE("moment " + std::to_string(i));
    expect_promises_kept(recorder.moments[i]);
    if (HasFailure()) {
      break;
    }
  }
}

TEST(PowerLoss, KeepsRecordsAndAdoptionsWithTheirEntries) {
  PositionRecorder recorder;
  {
    const test::TempFolder folder;
    test::TestDisk disk;
    recorder.disk = &disk;
    disk.context = &recorder;
    disk.after_operation = [](void* context) {
      static_cast<PositionRecorder*>(context)->note();
    };
    write_positions(folder / "station.db", recorder);
  }
  ASSERT_EQ(recorder.adoptions, 4);
  ASSERT_GT(recorder.moments.size(), 100U);
  for (std::size_t i = 0; i < recorder.moments.size(); ++i) {
    SCOPED_TRACE("moment " + std::to_string(i));
    expect_positions_kept(recorder.moments[i]);
    if (HasFailure()) {
      break;
    }
  }
}

}  // namespace
}  // namespace stillpoint

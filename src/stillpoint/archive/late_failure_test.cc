// A sync that fails, in each of the four ways of file systems (fake_inode.h):
// what was acknowledged is there after the next commits, also if the power goes
// then.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

constexpr SyncFailure kWays[] = {
    {false, false}, {true, false}, {false, true}, {true, true}};

GnssTime start() {
  return utc(2026, 11, 25, 11, 59, 45);
}

void seconds(Station& station, int count) {
  for (int i = 0; i < count; ++i) {
    station.second(1400);
  }
}

TEST(AFailedSync, OfAnyKindAtAnyCallLosesNothing) {
  std::size_t run = 0;
  for (const SyncFailure& way : kWays) {
    for (std::size_t n = 0;; ++n) {
      FakeFileSystem files(n);
      files.sync_failure = way;
      Station station(files, start());
      ASSERT_TRUE(station.open());
      files.fail_at(n, FaultKind::kSyncFails, false);
      seconds(station, 40);
      const bool past = files.calls().size() <= n;
      files.repair();
      seconds(station, 40);
      const std::string what = "call " + std::to_string(n) + " old content " +
                               std::to_string(way.reads_old_content) +
                               " late " + std::to_string(way.said_late);
      station.kill();
      files.restart();
      ASSERT_EQ(station.verdict(files), "") << what;
      ASSERT_TRUE(station.open()) << what;
      seconds(station, 15);
      ASSERT_TRUE(station.close()) << what;
      ASSERT_EQ(station.verdict(files), "") << what;
      ++run;
      if (past) {
        break;
      }
    }
  }
  EXPECT_GT(run, 4U * 30);
}

// Nothing comes after it that could write the bytes again.
TEST(AFailedSync, ThatOnlyTheCloseTellsIsMadeGoodByTheClose) {
  for (const bool old_content : {false, true}) {
    FakeFileSystem files;
    files.sync_failure = {old_content, true};
    Station station(files, utc(2026, 11, 25, 12, 0, 0));
    ASSERT_TRUE(station.open());
    seconds(station, 14);
    files.fail_at(1, FaultKind::kSyncFails, false);  // 0 is the write
    int more = 0;
    for (; files.calls().size() < 2; ++more) {
      ASSERT_LT(more, 20);
      seconds(station, 1);
    }
    files.repair();
    EXPECT_TRUE(station.close());
    files.restart();
    EXPECT_EQ(station.verdict(files), "");
    EXPECT_EQ(read_all(files).byte_count(),
              1400U * static_cast<unsigned>(14 + more));
  }
}

}  // namespace
}  // namespace stillpoint::archive

#include "stillpoint/archive/retention.h"

#include <gtest/gtest.h>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

const SegmentName kEight{{2026, 329, 8}, 0};
const SegmentName kNine{{2026, 329, 9}, 0};
const SegmentName kTen{{2026, 329, 10}, 0};
const SegmentName kEleven{{2026, 329, 11}, 0};

std::vector<StoredSegment> stored() {
  return {{kTen, 100}, {kEight, 100}, {kEleven, 100}, {kNine, 100}};
}

using Names = std::vector<SegmentName>;
const GnssTime kNow = utc(2026, 11, 25, 11, 59, 0);

TEST(Retention, TheOldestGoUntilTheRestFits) {
  EXPECT_EQ(to_remove(stored(), {250, {}}, kNow, kEleven),
            (Names{kEight, kNine}));
  EXPECT_EQ(to_remove(stored(), {400, {}}, kNow, kEleven), Names{});
}

TEST(Retention, AnHourIsTooOldWhenItsEndIs) {
  EXPECT_EQ(to_remove(stored(), {0, {2 * 3600.0}}, kNow, kEleven),
            (Names{kEight}));
  EXPECT_EQ(
      to_remove(stored(), {0, {2 * 3600.0}}, utc(2026, 11, 25, 12, 0, 0), kTen),
      (Names{kEight, kNine}));
}

TEST(Retention, WithoutLimitsNothingGoes) {
  EXPECT_EQ(to_remove(stored(), {}, kNow, kEleven), Names{});
}

TEST(Retention, WhatIsWrittenStaysAndSoDoesTheFuture) {
  EXPECT_EQ(to_remove(stored(), {1, {}}, kNow, kEight),
            (Names{kNine, kTen, kEleven}));
  EXPECT_EQ(to_remove(stored(), {1, {}}, utc(2026, 11, 25, 9, 0, 0), kEight),
            (Names{kNine}));
}

TEST(Retention, RemovesFilesAndEmptyFolders) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 24, 23, 59, 30));
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 60; ++i) {
    station.second(300);
  }
  ASSERT_TRUE(station.close());
  const auto found = stored_segments(files, kRoot);
  ASSERT_TRUE(found);
  ASSERT_EQ(found->size(), 2U);
  const auto names =
      to_remove(*found, {1, {}}, station.now(), found->back().name);
  ASSERT_EQ(names.size(), 1U);
  ASSERT_TRUE(remove_segments(files, kRoot, names));
  EXPECT_EQ(files.paths(),
            (std::vector<std::string>{"raw/2026/329/00.seg", "raw/latest"}));
  EXPECT_FALSE(files.list("raw/2026/328"));
  const Collected left = read_all(files);
  EXPECT_EQ(left.byte_count(), 31U * 300);
  ASSERT_EQ(left.gaps.size(), 1U);  // the back link says what was before
  EXPECT_EQ(left.gaps[0].to, 29U * 300);
}

TEST(Retention, SaysTheFirstFailureAndGoesOn) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 24, 23, 59, 30));
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 60; ++i) {
    station.second(300);
  }
  ASSERT_TRUE(station.close());
  files.fail_at(0, FaultKind::kDevice, false);
  EXPECT_FALSE(remove_segments(
      files, kRoot, {{{2026, 328, 23}, 0}, {{2026, 329, 0}, 0}}));
  EXPECT_EQ(files.paths(),
            (std::vector<std::string>{"raw/2026/328/23.seg", "raw/latest"}));
}

}  // namespace
}  // namespace stillpoint::archive

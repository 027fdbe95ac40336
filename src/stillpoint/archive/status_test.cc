// What a recorder tells of itself, and what may change while it runs.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

class RecorderTells : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(station_.open()); }
  void seconds(int count, std::size_t bytes = 500) {
    for (int i = 0; i < count; ++i) {
      station_.second(bytes);
    }
  }
  [[nodiscard]] RecorderStatus status() const {
    return station_.recorder->status();
  }
  FakeFileSystem files_;
  Station station_{files_, utc(2026, 11, 25, 12, 0, 0)};
};

TEST_F(RecorderTells, NothingBeforeThereAreBytes) {
  EXPECT_EQ(status().open_segment, "");
  EXPECT_EQ(status().pending_bytes, 0U);
  EXPECT_FALSE(status().last_commit);
  EXPECT_FALSE(status().last_error);
  EXPECT_TRUE(status().works);
}

TEST_F(RecorderTells, ItsSegmentItsCommitAndWhatWaits) {
  seconds(10);
  EXPECT_EQ(status().open_segment, "2026/329/12.seg");
  EXPECT_EQ(status().last_commit, utc(2026, 11, 25, 12, 0, 10));
  EXPECT_EQ(
      status().pending_bytes,
      station_.recorder->end_offset() - station_.recorder->durable_offset());
  seconds(3);
  EXPECT_EQ(status().last_commit, utc(2026, 11, 25, 12, 0, 10));
  EXPECT_GE(status().pending_bytes, 1500U);
}

TEST_F(RecorderTells, AFailureUntilWritingWorksAndWhatItWasAfterwards) {
  seconds(10);
  files_.fail_at(0, FaultKind::kNoSpace, true);
  seconds(10);
  const GnssTime failed = *status().last_error_time;
  EXPECT_FALSE(status().works);
  EXPECT_EQ(status().last_error->fault, FileFault::kNoSpace);
  EXPECT_EQ(status().open_segment, "");
  EXPECT_GT(failed, utc(2026, 11, 25, 12, 0, 10));
  files_.repair();
  seconds(20);
  EXPECT_TRUE(status().works);
  EXPECT_EQ(status().open_segment, "2026/329/12-1.seg");
  EXPECT_EQ(status().last_error_time, failed);
  EXPECT_GT(*status().last_commit, failed);
}

TEST_F(RecorderTells, CommitsComeAsOftenAsWasSaidLast) {
  station_.recorder->set_commit_after(Duration{2});
  std::uint64_t before = 0;
  std::vector<int> commits;
  for (int i = 1; i <= 24; ++i) {
    if (i == 13) {
      station_.recorder->set_commit_after(Duration{6});
    }
    station_.second(100);
    if (station_.recorder->durable_offset() > before) {
      before = station_.recorder->durable_offset();
      commits.push_back(i);
    }
  }
  EXPECT_EQ(commits, (std::vector<int>{3, 6, 9, 12, 19}));
}

// Level 19 against level 1 of the same bytes; how much is zstd's matter.
TEST_F(RecorderTells, AHigherLevelMakesTheNextSegmentSmaller) {
  const auto hour_of_text = [&](int level, int hour) {
    station_.recorder->set_level(level);
    station_.set_time(utc(2026, 11, 25, hour, 0, 0));
    std::uint64_t noise = 3;
    for (int i = 0; i < 300; ++i) {
      std::vector<std::uint8_t> bytes = receiver_like(2000, noise);
      for (std::uint8_t& b : bytes) {
        b = static_cast<std::uint8_t>('0' + b % 10);
      }
      station_.recorder->append(
          bytes, GnssTime::from_ns(station_.now().ns() + i * kSecond));
    }
  };
  hour_of_text(1, 13);
  hour_of_text(19, 14);
  station_.set_time(utc(2026, 11, 25, 14, 10, 0));
  ASSERT_TRUE(station_.close());
  const auto fast = files_.content("raw/2026/329/13.seg").size();
  const auto small = files_.content("raw/2026/329/14.seg").size();
  EXPECT_LT(small, fast);
  EXPECT_EQ(read_all(files_).byte_count(), 1'200'000U);
}

TEST(RecorderTold, WhatWasAcknowledgedAndIsNotThereIsLostAndNotUsedAgain) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 25, 12, 0, 0));
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 40; ++i) {
    station.second(300);
  }
  const std::uint64_t acknowledged = station.recorder->durable_offset();
  station.kill();
  // The newest segment loses its last commits, between two pieces, as if the
  // card had only said that it took them.
  const std::string path = "raw/2026/329/12.seg";
  auto bytes = files.content(path);
  bytes.resize(kPageSize);
  files.set_content(path, bytes);
  const std::uint64_t left = read_all(files).end.offset;
  ASSERT_LT(left, acknowledged);
  ASSERT_TRUE(read_all(files).end.open);
  station.options.acknowledged = Acknowledged{0x4C484F4C, acknowledged};
  station.set_time(utc(2026, 11, 25, 12, 5, 0));
  ASSERT_TRUE(station.open());
  const ArchiveEvent& said = station.events.back();
  EXPECT_EQ(said.kind, ArchiveEventKind::kLost);
  EXPECT_EQ(said.path, "2026/329/12.seg");
  ASSERT_TRUE(said.range);
  EXPECT_EQ(said.range->from, left);
  EXPECT_EQ(said.range->to, acknowledged);
  EXPECT_EQ(said.range->reason, GapReason::kMissing);
  EXPECT_EQ(said.range->first_after, utc(2026, 11, 25, 12, 5, 0));
  EXPECT_EQ(station.recorder->end_offset(), acknowledged);
  station.second(300);
  ASSERT_TRUE(station.close());
  const Collected all = read_all(files);
  EXPECT_EQ(all.parts.back().offset, acknowledged);
  EXPECT_TRUE(
      std::any_of(all.gaps.begin(), all.gaps.end(), [&](const Gap& gap) {
        return gap.from == left && gap.to == acknowledged &&
               gap.reason == GapReason::kMissing;
      }));
}

TEST(RecorderTold, OfAnotherStreamOrLessThanThereIsChangesNothing) {
  for (const Acknowledged& known :
       {Acknowledged{77, 1'000'000}, Acknowledged{0x4C484F4C, 100}}) {
    FakeFileSystem files;
    Station station(files, utc(2026, 11, 25, 12, 0, 0));
    ASSERT_TRUE(station.open());
    for (int i = 0; i < 20; ++i) {
      station.second(300);
    }
    ASSERT_TRUE(station.close());
    station.options.acknowledged = known;
    ASSERT_TRUE(station.open());
    EXPECT_TRUE(station.events.empty());
    EXPECT_EQ(station.recorder->end_offset(), 6000U);
  }
}

}  // namespace
}  // namespace stillpoint::archive

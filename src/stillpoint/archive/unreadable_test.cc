// A part of the card that is unreadable for good: found at the start and in
// reading, said, and never a reason to touch what may yet be saved from it.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/piece.h"
#include "stillpoint/archive/recovery.h"

namespace stillpoint::archive {
namespace {

constexpr const char* kPath = "raw/2026/329/12.seg";

class Unreadable : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(station_.open());
    seconds(60);
  }
  void seconds(int count) {
    for (int i = 0; i < count; ++i) {
      station_.second(4000);
    }
  }
  void lose_block(std::size_t index) {
    files_.make_unreadable(
        kPath, index * kBlockSize + 100, index * kBlockSize + 200);
  }
  [[nodiscard]] std::vector<Gap> said(GapReason reason) const {
    std::vector<Gap> gaps;
    for (const ArchiveEvent& event : station_.events) {
      if (event.kind == ArchiveEventKind::kLost &&
          event.range->reason == reason) {
        gaps.push_back(*event.range);
      }
    }
    return gaps;
  }
  // Bytes and gaps that tile from 0 on; where they end.
  static std::uint64_t tiled(const Collected& all) {
    std::vector<std::pair<std::uint64_t, std::uint64_t>> ranges;
    for (const auto& part : all.parts) {
      ranges.emplace_back(part.offset, part.offset + part.bytes.size());
    }
    for (const Gap& gap : all.gaps) {
      ranges.emplace_back(gap.from, gap.to);
    }
    std::sort(ranges.begin(), ranges.end());
    std::uint64_t at = 0;
    for (const auto& [from, to] : ranges) {
      EXPECT_EQ(from, at);
      at = to;
    }
    return at;
  }
  FakeFileSystem files_;
  Station station_{files_, utc(2026, 11, 25, 12, 0, 0)};
};

TEST_F(Unreadable, ABlockOfAClosedHourIsAGapOfJustThatBlock) {
  ASSERT_TRUE(station_.close());
  const Collected whole = read_all(files_);
  ASSERT_TRUE(whole.gaps.empty());
  lose_block(2);
  const Collected found = read_all(files_);
  ASSERT_EQ(found.gaps.size(), 1U);
  EXPECT_EQ(found.gaps[0].reason, GapReason::kDamaged);
  EXPECT_EQ(found.byte_count() + found.gaps[0].to - found.gaps[0].from,
            whole.byte_count());
  EXPECT_GT(found.gaps[0].to - found.gaps[0].from, kBlockSize / 2);
  EXPECT_LT(found.gaps[0].to - found.gaps[0].from, 2 * kBlockSize);
}

TEST_F(Unreadable, ABlockInTheMiddleOfTheTailIsSaidAndTheFileStays) {
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  lose_block(2);
  const auto content = files_.content(kPath);
  ASSERT_TRUE(station_.open());
  // The file is not copied without the block: another try may read it.
  EXPECT_EQ(files_.content(kPath), content);
  const auto lost = said(GapReason::kDamaged);
  ASSERT_EQ(lost.size(), 2U);
  EXPECT_GT(lost[0].to - lost[0].from, kBlockSize / 2);
  EXPECT_LT(lost[0].to - lost[0].from, 2 * kBlockSize);
  EXPECT_EQ(lost[1].from, safe);
  EXPECT_EQ(lost[1].to, safe + kUnreadableSkip);
  EXPECT_EQ(station_.recorder->end_offset(), safe + kUnreadableSkip);
  seconds(20);
  ASSERT_TRUE(station_.close());
  const Collected all = read_all(files_);
  EXPECT_EQ(tiled(all), safe + kUnreadableSkip + std::uint64_t{80'000});
}

// What the last block held is not known: no offset of it is used again.
TEST_F(Unreadable, TheLastBlockOfTheTailMakesTheStreamGoOnBehindIt) {
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  const auto content = files_.content(kPath);
  lose_block((content.size() - 1) / kBlockSize);
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(files_.content(kPath), content);
  const auto lost = said(GapReason::kDamaged);
  ASSERT_EQ(lost.size(), 1U);
  EXPECT_LE(lost[0].from, safe);
  EXPECT_GT(station_.recorder->end_offset(), safe);
  seconds(20);
  ASSERT_TRUE(station_.close());
  EXPECT_EQ(tiled(read_all(files_)), lost[0].to + std::uint64_t{80'000});
}

TEST_F(Unreadable, TheFirstBlockOfTheTailCostsOnlyItself) {
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  lose_block(0);
  const auto content = files_.content(kPath);
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(files_.content(kPath), content);
  EXPECT_GT(station_.recorder->end_offset(), safe);
  seconds(20);
  ASSERT_TRUE(station_.close());
  const Collected all = read_all(files_);
  EXPECT_GT(all.byte_count(), 80'000U + safe - 2 * kBlockSize);
}

// Every start sees it again, but the stream does not jump every time.
TEST_F(Unreadable, TheNextStartDoesNotSkipOnceMore) {
  station_.kill();
  lose_block(2);
  ASSERT_TRUE(station_.open());
  seconds(20);
  ASSERT_TRUE(station_.close());
  const std::uint64_t end = read_all(files_).end.offset;
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(station_.recorder->end_offset(), end);
}

// The block is readable and holds something else; the copy says so for good.
TEST_F(Unreadable, ADamageThatWasSaidIsNotSaidAtEveryStart) {
  station_.kill();
  auto content = files_.content(kPath);
  content[2 * kBlockSize + 500] ^= 1U;
  files_.set_content(kPath, content);
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(said(GapReason::kDamaged).size(), 1U);
  // Until a segment follows, the start may have been cut off before it was
  // heard.
  station_.kill();
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(said(GapReason::kDamaged).size(), 1U);
  seconds(20);
  ASSERT_TRUE(station_.close());
  ASSERT_TRUE(station_.open());
  EXPECT_TRUE(station_.events.empty());
}

// An hour that could not be read at the start, and can be later.
TEST_F(Unreadable, OnceMoreReadableItIsSealedAndNothingIsLost) {
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  files_.fail_at(0, FaultKind::kDevice, true);
  EXPECT_FALSE(station_.open());
  files_.repair();
  ASSERT_TRUE(station_.open());
  EXPECT_TRUE(said(GapReason::kDamaged).empty());
  EXPECT_EQ(station_.recorder->end_offset(), safe);
}

}  // namespace
}  // namespace stillpoint::archive

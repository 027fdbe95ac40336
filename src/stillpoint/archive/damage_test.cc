// A small archive cut at every byte and with every bit flipped: the damage is
// found, placed exactly, and the rest is read.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/piece.h"

namespace stillpoint::archive {
namespace {

constexpr std::size_t kBytes = 90;
constexpr std::uint64_t kBefore = 14;  // seconds before noon
constexpr std::uint64_t kSeconds = 20;

class Damage : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(station_.open());
    for (std::uint64_t i = 0; i < kSeconds; ++i) {
      station_.second(kBytes);
    }
    ASSERT_TRUE(station_.close());
    whole_ = read_all(files_);
    ASSERT_EQ(whole_.byte_count(), kSeconds * kBytes);
    ASSERT_TRUE(whole_.gaps.empty());
  }
  [[nodiscard]] std::string path(const char* hour) const {
    return std::string("raw/2026/329/").append(hour) + ".seg";
  }
  // Every byte is the true one, and bytes and gaps tile what is before `end`.
  static std::string untrue(const Collected& found,
                            const Collected& whole,
                            std::uint64_t end) {
    std::uint64_t at = 0;
    auto gap = found.gaps.begin();
    const auto skip_gaps = [&] {
      for (; gap != found.gaps.end() && gap->from == at; ++gap) {
        at = gap->to;
      }
    };
    for (const auto& part : found.parts) {
      skip_gaps();
      const auto& truth = whole.parts[part.offset / kBytes];
      if (part.offset != at || part.offset != truth.offset ||
          part.received != truth.received || part.bytes != truth.bytes) {
        return "wrong at " + std::to_string(at);
      }
      at += part.bytes.size();
    }
    skip_gaps();
    if (gap != found.gaps.end()) {
      return "a gap that does not fit";
    }
    return at == end ? "" : "ends at " + std::to_string(at);
  }

  FakeFileSystem files_;
  Station station_{files_, utc(2026, 11, 25, 11, 59, 45)};
  Collected whole_;
};

TEST_F(Damage, ASegmentCutAnywhereIsAGapUpToTheNext) {
  const auto good = files_.content(path("11"));
  for (std::size_t size = 0; size < good.size(); ++size) {
    auto bytes = good;
    bytes.resize(size);
    files_.set_content(path("11"), bytes);
    const Collected found = read_all(files_);
    if (found.parts.empty() || found.parts.front().offset != 0) {
      // Nothing is left of it; the next one's back link says where it began.
      ASSERT_FALSE(found.gaps.empty()) << size;
    }
    ASSERT_EQ(untrue(found, whole_, kSeconds * kBytes), "") << size;
    if (found.byte_count() == kSeconds * kBytes) {
      // Only the closing is cut.
      continue;
    }
    ASSERT_TRUE(std::any_of(found.gaps.begin(),
                            found.gaps.end(),
                            [](const Gap& gap) {
                              return gap.from < gap.to &&
                                     gap.to == kBefore * kBytes;
                            }))
        << size;
  }
}

TEST_F(Damage, TheLastSegmentCutAnywhereIsLeftOpen) {
  const auto good = files_.content(path("12"));
  for (std::size_t size = 0; size < good.size(); ++size) {
    auto bytes = good;
    bytes.resize(size);
    files_.set_content(path("12"), bytes);
    const Collected found = read_all(files_);
    ASSERT_EQ(untrue(found, whole_, found.end.offset), "") << size;
    ASSERT_TRUE(found.end.open || !found.gaps.empty()) << size;
  }
}

TEST_F(Damage, EveryFlippedBitIsFoundAndTheRestIsRead) {
  for (const char* hour : {"11", "12"}) {
    const auto good = files_.content(path(hour));
    for (std::size_t bit = 0; bit < good.size() * 8; ++bit) {
      auto bytes = good;
      bytes[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
      files_.set_content(path(hour), bytes);
      const Collected found = read_all(files_);
      ASSERT_EQ(untrue(found, whole_, found.end.offset), "") << bit;
      ASSERT_TRUE(found.end.open || !found.gaps.empty()) << bit;
      const std::uint64_t other = std::string_view(hour) == "11"
                                      ? (kSeconds - kBefore) * kBytes
                                      : kBefore * kBytes;
      ASSERT_GE(found.byte_count(), other) << bit;
    }
    files_.set_content(path(hour), good);
  }
}

TEST_F(Damage, AMissingSegmentIsAGapOfItsBytes) {
  ASSERT_TRUE(files_.remove(path("11")));
  const Collected found = read_all(files_);
  ASSERT_EQ(found.gaps.size(), 1U);
  EXPECT_EQ(found.gaps[0].from, 0U);
  EXPECT_EQ(found.gaps[0].to, kBefore * kBytes);
  EXPECT_EQ(found.gaps[0].reason, GapReason::kMissing);
}

TEST_F(Damage, ACutIsFoundByARangeThatEndsBeforeTheNextSegment) {
  auto bytes = files_.content(path("11"));
  bytes.resize(bytes.size() / 2);
  files_.set_content(path("11"), bytes);
  const Collected found = read_between(
      files_, utc(2026, 11, 25, 11, 0, 0), utc(2026, 11, 25, 12, 0, 0));
  ASSERT_FALSE(found.gaps.empty());
  EXPECT_EQ(found.gaps.back().to, kBefore * kBytes);
}

// Larger: a bad block costs one block, and a block in the wrong place shows.
class Blocks : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(station_.open());
    for (int i = 0; i < 100; ++i) {
      station_.second(4000);
    }
    ASSERT_TRUE(station_.close());
    ASSERT_TRUE(read_all(files_).gaps.empty());
  }
  FakeFileSystem files_;
  Station station_{files_, utc(2026, 11, 25, 12, 0, 0)};
};

TEST_F(Blocks, ADamagedBlockCostsOneBlock) {
  const std::string path = files_.paths().front();
  const auto good = files_.content(path);
  for (std::size_t at = 5; at + 5000 < good.size(); at += 5000) {
    auto bytes = good;
    for (std::size_t i = 0; i < 9; ++i) {
      bytes[at + i] ^= 0xA5U;
    }
    files_.set_content(path, bytes);
    const Collected found = read_all(files_);
    EXPECT_FALSE(found.gaps.empty()) << at;
    std::uint64_t lost = 0;
    for (const Gap& gap : found.gaps) {
      lost += gap.to - gap.from;
      EXPECT_EQ(gap.reason, GapReason::kDamaged);
    }
    EXPECT_EQ(found.byte_count() + lost, 400'000U) << at;
    // Two where the damage lies on the border of two; packed pieces hold more.
    EXPECT_LE(lost, 3 * kBlockSize) << at;
    EXPECT_EQ(station_.verdict(files_).substr(0, 21), "acknowledged and lost")
        << "the oracle must see it too";
  }
}

TEST(BlocksMoved, AStaleOrMisplacedBlockIsNeverTakenForBytes) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 25, 12, 0, 0));
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 100; ++i) {
    station.second(4000);
  }
  ASSERT_TRUE(station.close());
  const std::string path = files.paths().front();
  const auto good = files.content(path);
  const auto count = static_cast<std::ptrdiff_t>(good.size() / kBlockSize);
  constexpr auto kBlock = static_cast<std::ptrdiff_t>(kBlockSize);
  for (std::ptrdiff_t from = 0; from < count; ++from) {
    for (std::ptrdiff_t to = 0; to < count; ++to) {
      if (from == to) {
        continue;
      }
      auto bytes = good;
      std::copy_n(
          good.begin() + from * kBlock, kBlock, bytes.begin() + to * kBlock);
      files.set_content(path, bytes);
      const Collected found = read_all(files);
      ASSERT_EQ(found.gaps.size(), 1U);
      EXPECT_EQ(found.byte_count() + found.gaps[0].to - found.gaps[0].from,
                400'000U);
      EXPECT_LE(found.gaps[0].to - found.gaps[0].from, 2 * kBlockSize);
    }
  }
}

}  // namespace
}  // namespace stillpoint::archive

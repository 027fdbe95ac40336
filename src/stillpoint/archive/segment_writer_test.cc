#include "stillpoint/archive/segment_writer.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <utility>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/block_source.h"
#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/segment_scan.h"

namespace stillpoint::archive {
namespace {

using Bytes = std::vector<std::uint8_t>;
constexpr std::uint64_t kStream = 0x4C484F4C;

struct Found {
  std::uint64_t first = 0;
  Bytes all;
  std::size_t damages = 0;
};

class Collect final : public ScanSink {
 public:
  bool on_bytes(std::uint64_t offset,
                std::span<const Received> received) override {
    found.first = found.all.empty() ? offset : found.first;
    for (const Received& r : received) {
      found.all.insert(found.all.end(), r.bytes.begin(), r.bytes.end());
    }
    return true;
  }
  bool on_gap(const Gap& /*gap*/) override { return true; }
  void on_damage() override { ++found.damages; }
  Found found;
};

class Segment : public ::testing::Test {
 protected:
  // Whole pages of a second's bytes and of what an earlier second left.
  void commit(const Bytes& more) {
    left_.insert(left_.end(), more.begin(), more.end());
    const std::uint64_t before = writer_.end_offset();
    writer_.whole_pages(std::vector<Received>{{time_, left_}});
    const auto taken =
        static_cast<std::ptrdiff_t>(writer_.end_offset() - before);
    sent_.insert(sent_.end(), left_.begin(), left_.begin() + taken);
    left_.erase(left_.begin(), left_.begin() + taken);
    const Bytes bytes = writer_.take();
    file_.insert(file_.end(), bytes.begin(), bytes.end());
  }
  [[nodiscard]] Found scan(std::size_t first_block) const {
    FakeFileSystem files;
    EXPECT_TRUE(files.make_directory("d"));
    const auto file = files.create("d/s");
    EXPECT_TRUE(append_all(**file, file_));
    Collect sink;
    const auto blocks = open_blocks(files, "d/s");
    scan_segment(**blocks, first_block, kStream, sink);
    return std::move(sink.found);
  }
  Bytes noise(std::size_t count) { return receiver_like(count, noise_); }

  GnssTime time_ = half_a_minute_before_noon();
  SegmentWriter writer_{Opening{kStream, 0, time_, {}}, kDefaultLevel};
  std::uint64_t noise_ = 7;
  Bytes left_, sent_, file_;
};

TEST_F(Segment, ACommitEndsWithItsPageAndLeavesLessThanOne) {
  for (std::size_t i = 0; i < 200; ++i) {
    commit(noise(5500 + 37 * i));
    EXPECT_EQ(file_.size() % kPageSize, 0U);
    EXPECT_LE(left_.size(), 5500U);  // a page of what packs to three quarters
  }
  const Found found = scan(0);
  EXPECT_EQ(found.all, sent_);
  EXPECT_EQ(found.damages, 0U);
}

TEST_F(Segment, LittleBytesShareAPageUntilItIsFull) {
  std::size_t all_taken = 0;
  for (int i = 0; i < 100; ++i) {
    commit(noise(500));
    all_taken += left_.empty() ? 1U : 0U;
  }
  EXPECT_GT(all_taken, 60U);
  // Packed bytes and heads, not a page for each commit.
  EXPECT_LT(file_.size(), 100U * 600);
  const Found found = scan(0);
  EXPECT_EQ(found.all, sent_);
  EXPECT_EQ(found.damages, 0U);
}

TEST_F(Segment, AnySizesOfCommitsAreReadBack) {
  std::mt19937_64 random(11);
  for (int i = 0; i < 300; ++i) {
    const std::size_t size = random() % (i % 10 == 0 ? 150'000 : 6'000);
    // From noise to what packs a hundredfold.
    Bytes bytes = noise(size);
    const std::size_t plain = random() % 3 == 0 ? size : size / 3;
    std::fill_n(bytes.begin(), plain, std::uint8_t{0x55});
    commit(bytes);
  }
  const Found found = scan(0);
  EXPECT_TRUE(found.all == sent_);
  EXPECT_EQ(found.damages, 0U);
}

TEST_F(Segment, APieceBuildsOnThoseBeforeItInItsBlock) {
  const Bytes bytes = noise(3000);
  commit(bytes);
  const std::size_t once = file_.size();
  commit(bytes);
  EXPECT_LT(file_.size() - once, 300U);  // the same again is nearly nothing
  EXPECT_EQ(scan(0).all.size(), 6000U);
}

TEST(Prefix, IsTheLast65536BytesOfTheBlock) {
  std::uint64_t state = 5;
  const Bytes bytes = receiver_like(150'000, state);
  BlockPrefix prefix;
  for (std::size_t at = 0; at < bytes.size(); at += 30'000) {
    prefix.add(ByteSpan(bytes).subspan(at, 30'000));
    const std::size_t size = std::min<std::size_t>(at + 30'000, 65'536);
    const ByteSpan last = ByteSpan(bytes).first(at + 30'000).last(size);
    EXPECT_TRUE(std::equal(
        last.begin(), last.end(), prefix.view().begin(), prefix.view().end()));
  }
}

TEST_F(Segment, ABlockIsReadWithoutTheOnesBefore) {
  // The same again and again: a prefix that crossed blocks would be used.
  const Bytes bytes = noise(4000);
  for (int i = 0; i < 400; ++i) {
    Bytes more = noise(1500);
    more.insert(more.end(), bytes.begin(), bytes.end());
    commit(more);
  }
  const std::size_t blocks = file_.size() / kBlockSize;
  ASSERT_GT(blocks, 10U);
  for (std::size_t i = 1; i < blocks; ++i) {
    const Found found = scan(i);
    ASSERT_EQ(found.damages, 0U);
    ASSERT_EQ(found.first + found.all.size(), sent_.size());
    ASSERT_TRUE(
        std::equal(found.all.rbegin(), found.all.rend(), sent_.rbegin()));
  }
}

TEST_F(Segment, AByteBetweenPiecesThatIsNotZeroIsDamage) {
  for (int i = 0; i < 8; ++i) {
    commit(noise(9000));
  }
  std::size_t seen = 0;
  for (std::size_t end = kPageSize; end < 2 * kBlockSize; end += kPageSize) {
    if (file_[end - 1] == 0 && end % kBlockSize != 0) {
      file_[end - 1] = 1;
      seen += scan(0).damages;
      file_[end - 1] = 0;
      break;
    }
  }
  EXPECT_EQ(seen, 1U);
}

}  // namespace
}  // namespace stillpoint::archive

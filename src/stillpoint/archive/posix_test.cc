// The real file system, once.
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/posix_file_system.h"

namespace stillpoint::archive {
namespace {

class Posix : public ::testing::Test {
 public:
  Posix()
      : root_(::testing::TempDir() + "stillpoint-archive-" +
              std::to_string(::getpid())) {
    std::filesystem::create_directories(root_);
  }
  Posix(const Posix&) = delete;
  Posix& operator=(const Posix&) = delete;
  Posix(Posix&&) = delete;
  Posix& operator=(Posix&&) = delete;
  ~Posix() override { std::filesystem::remove_all(root_); }
  std::string root_;
  std::unique_ptr<FileSystem> files_ = posix_file_system();
};

TEST_F(Posix, FilesDoWhatTheInterfaceSays) {
  const std::string path = root_ + "/a";
  {
    auto file = files_->create(path);
    ASSERT_TRUE(file);
    const std::vector<std::uint8_t> bytes{1, 2, 3};
    ASSERT_TRUE(append_all(**file, bytes));
    EXPECT_TRUE((*file)->pwrite(1, std::vector<std::uint8_t>{9}));
    EXPECT_TRUE((*file)->fdatasync());
    EXPECT_EQ((*file)->size().value_or(0), 3U);
    EXPECT_EQ(read_some(**file, 0, 10).value(),
              (std::vector<std::uint8_t>{1, 9, 3}));
  }
  EXPECT_EQ(files_->create(path).error().fault, FileFault::kExists);
  EXPECT_EQ(files_->open(root_ + "/b").error().fault, FileFault::kNotFound);
  EXPECT_TRUE(files_->rename(path, root_ + "/b"));
  EXPECT_TRUE(files_->make_directory(root_ + "/c"));
  EXPECT_EQ(files_->make_directory(root_ + "/c").error().fault,
            FileFault::kExists);
  EXPECT_TRUE(files_->fsync_directory(root_));
  const auto entries = files_->list(root_);
  ASSERT_TRUE(entries);
  EXPECT_EQ(entries->size(), 2U);
  EXPECT_EQ(files_->size(root_ + "/b").value_or(0), 3U);
  EXPECT_TRUE(files_->remove(root_ + "/b"));
  EXPECT_TRUE(files_->remove(root_ + "/c"));
  EXPECT_FALSE(files_->list(root_ + "/c"));
}

class Counter final : public ArchiveSink {
 public:
  void on_bytes(const ArchiveBytes& bytes) override {
    EXPECT_EQ(bytes.offset, count);
    count += bytes.bytes.size();
  }
  void on_gap(const Gap&) override { ++gaps; }
  std::uint64_t count = 0;
  std::size_t gaps = 0;
};

TEST_F(Posix, IsReadWhileItIsWrittenAndAfterwards) {
  RecorderOptions options;
  options.root = root_;
  const GnssTime start = half_a_minute_before_noon();
  auto recorder = Recorder::open(*files_, options, start, {});
  ASSERT_TRUE(recorder);
  std::uint64_t noise = 5;
  for (int i = 0; i < 60; ++i) {
    const GnssTime now = GnssTime::from_ns(start.ns() + i * kSecond);
    (*recorder)->append(receiver_like(3000, noise), now);
    if (i % 10 == 9) {
      Counter counter;
      ASSERT_TRUE(read_archive(
          *files_, root_, start, utc(2026, 11, 26, 0, 0, 0), counter));
      EXPECT_EQ(counter.count, (*recorder)->durable_offset());
      EXPECT_EQ(counter.gaps, 0U);
    }
  }
  ASSERT_TRUE((*recorder)->close(start));
  Counter counter;
  ASSERT_TRUE(
      read_archive(*files_, root_, start, utc(2026, 11, 26, 0, 0, 0), counter));
  EXPECT_EQ(counter.count, 60U * 3000);
  EXPECT_TRUE(std::filesystem::exists(root_ + "/2026/329/11.seg"));
}

}  // namespace
}  // namespace stillpoint::archive

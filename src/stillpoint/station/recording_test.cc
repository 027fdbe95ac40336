// Recording against a disk that refuses: what is full, read-only or slow for a
// while costs nothing that fits in memory, and the ledger of gaps is right.
#include "stillpoint/station/recording.h"

#include <gtest/gtest.h>

#include <atomic>
#include <numeric>
#include <thread>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

using Bytes = std::vector<std::uint8_t>;

// The machine's files, with writes that fail while `fault` is set.
class FailingFiles final : public FileSystem {
 public:
  std::atomic<bool> fails = false;
  std::atomic<FileFault> fault = FileFault::kNoSpace;

  FileResult<std::unique_ptr<OpenFile>> open(const std::string& path) override {
    auto file = files_->open(path);
    return file ? FileResult<std::unique_ptr<OpenFile>>(
                      std::make_unique<File>(*this, std::move(*file)))
                : tl::unexpected(file.error());
  }
  FileResult<std::unique_ptr<OpenFile>> create(
      const std::string& path) override {
    if (auto refused = refuse(path); !refused) {
      return tl::unexpected(refused.error());
    }
    auto file = files_->create(path);
    return file ? FileResult<std::unique_ptr<OpenFile>>(
                      std::make_unique<File>(*this, std::move(*file)))
                : tl::unexpected(file.error());
  }
  FileStatus make_directory(const std::string& path) override {
    const auto refused = refuse(path);
    return refused ? files_->make_directory(path) : refused;
  }
  FileStatus fsync_directory(const std::string& path) override {
    const auto refused = refuse(path);
    return refused ? files_->fsync_directory(path) : refused;
  }
  FileStatus rename(const std::string& from, const std::string& to) override {
    const auto refused = refuse(from);
    return refused ? files_->rename(from, to) : refused;
  }
  FileStatus remove(const std::string& path) override {
    return files_->remove(path);
  }
  FileResult<std::vector<DirectoryEntry>> list(
      const std::string& path) override {
    return files_->list(path);
  }
  FileResult<std::uint64_t> size(const std::string& path) override {
    return files_->size(path);
  }

  [[nodiscard]] FileStatus refuse(const std::string& path) const {
    if (fails) {
      return tl::unexpected(FileError{fault, "refused by the test", path});
    }
    return std::monostate{};
  }

 private:
  class File final : public OpenFile {
   public:
    File(FailingFiles& all, std::unique_ptr<OpenFile> file)
        : all_(all), file_(std::move(file)) {}
    FileResult<std::size_t> append(ByteSpan bytes) override {
      const auto refused = all_.refuse("file");
      return refused ? file_->append(bytes) : tl::unexpected(refused.error());
    }
    FileResult<std::size_t> pwrite(std::uint64_t offset,
                                   ByteSpan bytes) override {
      const auto refused = all_.refuse("file");
      return refused ? file_->pwrite(offset, bytes)
                     : tl::unexpected(refused.error());
    }
    FileResult<std::size_t> read(std::uint64_t offset,
                                 std::span<std::uint8_t> into) override {
      return file_->read(offset, into);
    }
    FileStatus fdatasync() override {
      const auto refused = all_.refuse("file");
      return refused ? file_->fdatasync() : refused;
    }
    FileResult<std::uint64_t> size() override { return file_->size(); }

   private:
    FailingFiles& all_;
    std::unique_ptr<OpenFile> file_;
  };

  std::unique_ptr<FileSystem> files_ = archive::posix_file_system();
};

class Everything final : public archive::ArchiveSink {
 public:
  void on_bytes(const archive::ArchiveBytes& part) override {
    bytes.insert(bytes.end(), part.bytes.begin(), part.bytes.end());
  }
  void on_gap(const archive::Gap& /*gap*/) override {}
  Bytes bytes;
};

class RecordingTest : public testing::Test {
 protected:
  void start(std::size_t most_queued = std::size_t{1} << 20U) {
    RecordingOptions options;
    options.root = folder_.path();
    options.new_stream = 77;
    options.most_queued = most_queued;
    options.retry_after = std::chrono::seconds{10};
    options.free_bytes = [this] { return free_bytes_.load(); };
    options.tidy_every = std::chrono::seconds{1};
    recording_ = std::make_unique<Recording>(
        files_, options, limits_, clock_.clocks(), chronicle_, log_.logger());
    thread_ = std::thread([this] { recording_->run(); });
  }
  void end() {
    recording_->stop();
    thread_.join();
  }
  void TearDown() override {
    if (thread_.joinable()) {
      end();
    }
  }

  // The next 100 bytes of a stream in which every place differs.
  Bytes send() {
    Bytes bytes(100);
    std::iota(bytes.begin(), bytes.end(), sent_ / 100);
    sent_ += 100;
    all_.insert(all_.end(), bytes.begin(), bytes.end());
    recording_->take({shared_bytes(bytes), clock_.clocks().wall()});
    return bytes;
  }
  // Lets time pass until everything sent is safe.
  bool safe() {
    return test::wait_until([&] {
      clock_.advance(0.5);
      return recording_->facts().durable_offset == all_.size();
    });
  }
  Bytes read() {
    Everything found;
    const GnssTime end = GnssTime::from_ns(std::int64_t{1} << 62U);
    EXPECT_TRUE(archive::read_archive(
        files_, folder_.path(), GnssTime::from_ns(0), end, found));
    return found.bytes;
  }

  test::HandClock clock_;
  test::LogLines log_;
  test::TempFolder folder_;
  FailingFiles files_;
  RecordingLimits limits_;
  std::atomic<std::uint64_t> free_bytes_ = std::uint64_t{1} << 40U;
  Chronicle chronicle_{{}, clock_.clocks(), log_.logger()};
  std::unique_ptr<Recording> recording_;
  std::thread thread_;
  std::uint8_t sent_ = 0;
  Bytes all_;
};

TEST_F(RecordingTest, WhatCameIsSafeWithinTheCommitTimeAndAllOfItAtTheEnd) {
  start();
  send();
  EXPECT_TRUE(safe());
  send();
  end();
  EXPECT_EQ(read(), all_);
  EXPECT_EQ(recording_->facts().durable_offset, all_.size());
  EXPECT_EQ(recording_->facts().stream, 77U);
}

TEST_F(RecordingTest, ADiskThatIsFullOrReadOnlyForAWhileCostsNothing) {
  for (const FileFault fault : {FileFault::kNoSpace, FileFault::kOther}) {
    start();
    send();
    EXPECT_TRUE(safe());
    files_.fault = fault;
    files_.fails = true;
    send();
    EXPECT_TRUE(test::wait_until([&] {
      clock_.advance(0.5);
      return recording_->facts().state == RecordingState::kCannotWrite;
    }));
    EXPECT_NE(recording_->facts().why.find("refused"), std::string::npos);
    send();
    files_.fails = false;
    EXPECT_TRUE(safe());
    EXPECT_EQ(recording_->facts().state, RecordingState::kRecording);
    EXPECT_EQ(recording_->facts().dropped_bytes, 0U);
    end();
    EXPECT_EQ(read(), all_);
  }
}

TEST_F(RecordingTest, ADiskThatRefusesAtTheStartIsWaitedFor) {
  files_.fails = true;
  start();
  send();
  EXPECT_TRUE(test::wait_until(
      [&] { return recording_->facts().queued_bytes == 100; }));
  files_.fails = false;
  EXPECT_TRUE(safe());
  end();
  EXPECT_EQ(read(), all_);
}

TEST_F(RecordingTest, WhatDoesNotFitMemoryIsCountedAndTold) {
  // A thread that is not running is a disk that hangs.
  RecordingOptions options;
  options.root = folder_.path();
  options.most_queued = 250;
  options.free_bytes = [] { return std::nullopt; };
  recording_ = std::make_unique<Recording>(
      files_, options, limits_, clock_.clocks(), chronicle_, log_.logger());
  const Bytes first = send(), second = send();
  send();
  EXPECT_EQ(recording_->facts().queued_bytes, 200U);
  EXPECT_EQ(recording_->facts().dropped_bytes, 100U);
  thread_ = std::thread([this] { recording_->run(); });
  end();
  EXPECT_EQ(log_.count("lost before they reached the disk"), 1);
  EXPECT_EQ(chronicle_.facts().entries_waiting, 1U);  // the gap
  Bytes kept = first;
  kept.insert(kept.end(), second.begin(), second.end());
  EXPECT_EQ(read(), kept);
}

TEST_F(RecordingTest, AClockThatStepsAnHourEitherWayLosesNothing) {
  start();
  for (const double step_s : {3600.0, -7200.0, 3600.0}) {
    send();
    EXPECT_TRUE(safe());
    clock_.step_wall(step_s);
    send();
    EXPECT_TRUE(safe());
  }
  end();
  EXPECT_EQ(read(), all_);
}

TEST_F(RecordingTest, WhereTheDiskGetsFullTheOldestHoursGo) {
  limits_.leave_free_bytes = 1000;
  start();
  for (int hour = 0; hour < 3; ++hour) {
    send();
    EXPECT_TRUE(safe());
    clock_.advance(3600);
  }
  EXPECT_TRUE(test::wait_until([&] {
    clock_.advance(1);
    return recording_->facts().segments >= 3U;
  }));
  free_bytes_ = 999;  // lacks one byte: one hour makes room
  EXPECT_TRUE(test::wait_until([&] {
    clock_.advance(1);
    return log_.count("oldest recorded hours were deleted") > 0;
  }));
  free_bytes_ = 100'000;
  end();
  const Bytes kept = read();
  EXPECT_EQ(
      kept,
      Bytes(all_.end() - static_cast<std::ptrdiff_t>(kept.size()), all_.end()));
  EXPECT_LT(kept.size(), all_.size());
}

}  // namespace
}  // namespace stillpoint::station

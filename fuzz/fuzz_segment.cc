// Any bytes as a segment. Oracle: what is read as bytes comes in rising
// offsets, each byte once, and reading the same file twice gives the same.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/core/check.h"

namespace {

using namespace stillpoint;

// One file in its folders.
class OneFile final : public OpenFile {
 public:
  explicit OneFile(ByteSpan bytes) : bytes_(bytes) {}
  FileResult<std::size_t> append(ByteSpan) override { return refused(); }
  FileResult<std::size_t> pwrite(std::uint64_t, ByteSpan) override {
    return refused();
  }
  FileResult<std::size_t> read(std::uint64_t offset,
                               std::span<std::uint8_t> into) override {
    std::size_t count = 0;
    for (; count < into.size() && offset + count < bytes_.size(); ++count) {
      into[count] = bytes_[static_cast<std::size_t>(offset) + count];
    }
    return count;
  }
  FileStatus fdatasync() override { return std::monostate{}; }
  FileResult<std::uint64_t> size() override { return bytes_.size(); }

 private:
  static tl::unexpected<FileError> refused() {
    return tl::unexpected<FileError>(FileError{});
  }
  ByteSpan bytes_;
};

class OneFileSystem final : public FileSystem {
 public:
  OneFileSystem(ByteSpan bytes, std::string name)
      : bytes_(bytes), name_(std::move(name)) {}
  FileResult<std::unique_ptr<OpenFile>> open(const std::string& path) override {
    if (path != "raw/2026/329/" + name_) {
      return missing();
    }
    return std::make_unique<OneFile>(bytes_);
  }
  FileResult<std::unique_ptr<OpenFile>> create(const std::string&) override {
    return missing();
  }
  FileStatus make_directory(const std::string&) override { return missing(); }
  FileStatus fsync_directory(const std::string&) override { return missing(); }
  FileStatus rename(const std::string&, const std::string&) override {
    return missing();
  }
  FileStatus remove(const std::string&) override { return missing(); }
  FileResult<std::vector<DirectoryEntry>> list(
      const std::string& path) override {
    if (path == "raw") {
      return std::vector<DirectoryEntry>{{"2026", true}};
    }
    if (path == "raw/2026") {
      return std::vector<DirectoryEntry>{{"329", true}};
    }
    return std::vector<DirectoryEntry>{{name_, false}};
  }
  FileResult<std::uint64_t> size(const std::string&) override {
    return missing();
  }

 private:
  static tl::unexpected<FileError> missing() {
    return tl::unexpected<FileError>(
        FileError{FileFault::kNotFound, "not there", {}});
  }
  ByteSpan bytes_;
  std::string name_;
};

class Rising final : public archive::ArchiveSink {
 public:
  void on_bytes(const archive::ArchiveBytes& b) override {
    STILLPOINT_CHECK(b.offset >= next);
    next = b.offset + b.bytes.size();
    all.insert(all.end(), b.bytes.begin(), b.bytes.end());
  }
  void on_gap(const archive::Gap& gap) override {
    STILLPOINT_CHECK(gap.to >= gap.from);
    ++gaps;
  }
  std::uint64_t next = 0;
  std::size_t gaps = 0;
  std::vector<std::uint8_t> all;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{128} * 1024;
  if (size > kMaxSize) {
    return 0;
  }
  OneFileSystem files(ByteSpan(data, size), "11.seg");
  constexpr int kLastWeek = 6000;
  Rising first, second;
  const GnssTime from = GnssTime::from_gps_week(0, 0);
  const GnssTime to = GnssTime::from_gps_week(kLastWeek, 0);
  const auto end = read_archive(files, "raw", from, to, first);
  const auto again = read_archive(files, "raw", from, to, second);
  STILLPOINT_CHECK(end.has_value() == again.has_value());
  STILLPOINT_CHECK(first.all == second.all && first.gaps == second.gaps);
  return 0;
}

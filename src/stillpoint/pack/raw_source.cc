#include "stillpoint/pack/raw_source.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>
#include <utility>

namespace stillpoint::pack {
namespace {

std::string system_words(int error_number) {
  return std::generic_category().message(error_number);
}

class FileSource final : public RawSource {
 public:
  FileSource(int descriptor, std::string path)
      : descriptor_(descriptor), path_(std::move(path)) {}
  FileSource(const FileSource&) = delete;
  FileSource& operator=(const FileSource&) = delete;
  ~FileSource() override { ::close(descriptor_); }

  Result<std::size_t> read(std::span<char> into) override {
    for (;;) {
      const ssize_t got = ::read(descriptor_, into.data(), into.size());
      if (got >= 0) {
        return static_cast<std::size_t>(got);
      }
      if (errno != EINTR) {
        return fail(
            ErrorCode::kIo, "cannot read: " + system_words(errno), path_);
      }
    }
  }

  bool seek(std::int64_t position) override {
    return ::lseek(descriptor_, position, SEEK_SET) == position;
  }

  std::optional<std::int64_t> size() override {
    struct stat about {};
    if (::fstat(descriptor_, &about) != 0 || !S_ISREG(about.st_mode)) {
      return std::nullopt;
    }
    return about.st_size;
  }

  [[nodiscard]] const std::string& name() const override { return path_; }

 private:
  int descriptor_;
  std::string path_;
};

class MemorySource final : public RawSource {
 public:
  MemorySource(std::span<const char> bytes, std::string name)
      : bytes_(bytes), name_(std::move(name)) {}

  Result<std::size_t> read(std::span<char> into) override {
    const std::size_t count = std::min(into.size(), bytes_.size() - position_);
    std::copy_n(bytes_.data() + position_, count, into.data());
    position_ += count;
    return count;
  }

  bool seek(std::int64_t position) override {
    if (position < 0 || std::cmp_greater(position, bytes_.size())) {
      return false;
    }
    position_ = static_cast<std::size_t>(position);
    return true;
  }

  std::optional<std::int64_t> size() override {
    return static_cast<std::int64_t>(bytes_.size());
  }

  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  std::span<const char> bytes_;
  std::size_t position_ = 0;
  std::string name_;
};

}  // namespace

Result<std::unique_ptr<RawSource>> open_file(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) {
    return fail(ErrorCode::kIo, "cannot open: " + system_words(errno), path);
  }
  auto source = std::make_unique<FileSource>(descriptor, path);
  struct stat about {};
  if (::fstat(descriptor, &about) == 0 && S_ISDIR(about.st_mode)) {
    return fail(ErrorCode::kIo, "cannot read: " + system_words(EISDIR), path);
  }
  return source;
}

std::unique_ptr<RawSource> over_memory(std::span<const char> bytes,
                                       std::string name) {
  return std::make_unique<MemorySource>(bytes, std::move(name));
}

}  // namespace stillpoint::pack

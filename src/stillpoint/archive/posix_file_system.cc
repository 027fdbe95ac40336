#include "stillpoint/archive/posix_file_system.h"

#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <string_view>
#include <system_error>
#include <utility>

namespace stillpoint::archive {
namespace {

// Room that is reserved on the disk ahead of a file that grows: a sync then has
// its size to write, and no new place, and the file is one piece of the disk.
// Measured on ext4: 3 pages of the journal a sync instead of 5. An hour of a
// usual receiver needs one.
constexpr std::uint64_t kReserve = std::uint64_t{8} << 20U;
// The largest piece handed to one call, far below what the call can count.
constexpr std::size_t kMostAtOnce = std::size_t{1} << 24U;

tl::unexpected<FileError> failed(const std::string& path) {
  const int number = errno;
  FileFault fault = FileFault::kOther;
  switch (number) {
    case EINTR:
      fault = FileFault::kInterrupted;
      break;
    case ENOSPC:
    case EDQUOT:
      fault = FileFault::kNoSpace;
      break;
    case ENOENT:
      fault = FileFault::kNotFound;
      break;
    case EEXIST:
      fault = FileFault::kExists;
      break;
    case EIO:
      fault = FileFault::kDevice;
      break;
    default:
      break;
  }
  return tl::unexpected<FileError>(
      FileError{fault, std::generic_category().message(number), path});
}

FileStatus status(int result, const std::string& path) {
  if (result != 0) {
    return failed(path);
  }
  return std::monostate{};
}

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&& other) noexcept
      : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }
  [[nodiscard]] int get() const { return number_; }

 private:
  int number_;
};

class PosixFile final : public OpenFile {
 public:
  PosixFile(Descriptor descriptor, std::string path)
      : descriptor_(std::move(descriptor)), path_(std::move(path)) {}
  PosixFile(const PosixFile&) = delete;
  PosixFile& operator=(const PosixFile&) = delete;
  PosixFile(PosixFile&&) = delete;
  PosixFile& operator=(PosixFile&&) = delete;
  ~PosixFile() override {
    if (reserved_to_ > 0) {
      give_back();
    }
  }

  FileResult<std::size_t> append(ByteSpan bytes) override {
    reserve(bytes.size());
    auto count = counted(::write(
        descriptor_.get(), bytes.data(), std::min(bytes.size(), kMostAtOnce)));
    appended_ += count.value_or(0);
    return count;
  }
  FileResult<std::size_t> pwrite(std::uint64_t offset,
                                 ByteSpan bytes) override {
    return counted(::pwrite(descriptor_.get(),
                            bytes.data(),
                            std::min(bytes.size(), kMostAtOnce),
                            static_cast<off_t>(offset)));
  }
  FileResult<std::size_t> read(std::uint64_t offset,
                               std::span<std::uint8_t> into) override {
    return counted(::pread(descriptor_.get(),
                           into.data(),
                           std::min(into.size(), kMostAtOnce),
                           static_cast<off_t>(offset)));
  }
  FileStatus fdatasync() override {
    return status(::fdatasync(descriptor_.get()), path_);
  }
  FileResult<std::uint64_t> size() override {
    struct stat facts {};
    if (::fstat(descriptor_.get(), &facts) != 0) {
      return failed(path_);
    }
    return static_cast<std::uint64_t>(facts.st_size);
  }

 private:
  // Where the disk cannot, or is nearly full, it is done without.
  void reserve(std::size_t count) {
    if (appended_ + count <= reserved_to_) {
      return;
    }
    reserved_to_ = appended_ + count + kReserve;
    if (::fallocate(descriptor_.get(),
                    FALLOC_FL_KEEP_SIZE,
                    static_cast<off_t>(appended_),
                    static_cast<off_t>(count + kReserve)) != 0) {
      give_back();  // it may have got a part
    }
  }
  // Cuts the file to the size that it has. If that fails the room is lost until
  // the file is.
  void give_back() {
    struct stat facts {};
    if (::fstat(descriptor_.get(), &facts) == 0) {
      static_cast<void>(::ftruncate(descriptor_.get(), facts.st_size) == 0);
    }
  }
  FileResult<std::size_t> counted(ssize_t count) {
    if (count < 0) {
      return failed(path_);
    }
    return static_cast<std::size_t>(count);
  }

  Descriptor descriptor_;
  std::string path_;
  std::uint64_t appended_ = 0, reserved_to_ = 0;
};

class PosixFileSystem final : public FileSystem {
 public:
  FileResult<std::unique_ptr<OpenFile>> open(const std::string& path) override {
    // Only pwrite needs the right to write; a copy on a read-only medium is
    // still read.
    auto file = opened(path, O_RDWR);
    if (!file && file.error().fault == FileFault::kOther) {
      return opened(path, O_RDONLY);
    }
    return file;
  }
  FileResult<std::unique_ptr<OpenFile>> create(
      const std::string& path) override {
    // pwrite to a descriptor with O_APPEND would append; ours is only ever
    // written at its end, where the position already is.
    return opened(path, O_RDWR | O_CREAT | O_EXCL);
  }
  FileStatus make_directory(const std::string& path) override {
    constexpr mode_t kOwnerAndGroup = 0750;
    return status(::mkdir(path.c_str(), kOwnerAndGroup), path);
  }
  FileStatus fsync_directory(const std::string& path) override {
    const Descriptor folder(
        ::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.get() < 0) {
      return failed(path);
    }
    return status(::fsync(folder.get()), path);
  }
  FileStatus rename(const std::string& from, const std::string& to) override {
    return status(std::rename(from.c_str(), to.c_str()), from);
  }
  FileStatus remove(const std::string& path) override {
    return status(std::remove(path.c_str()), path);
  }
  FileResult<std::vector<DirectoryEntry>> list(
      const std::string& path) override;
  FileResult<std::uint64_t> size(const std::string& path) override {
    struct stat facts {};
    if (::stat(path.c_str(), &facts) != 0) {
      return failed(path);
    }
    return static_cast<std::uint64_t>(facts.st_size);
  }

 private:
  static FileResult<std::unique_ptr<OpenFile>> opened(const std::string& path,
                                                      int flags) {
    constexpr mode_t kOwnerWritesGroupReads = 0640;
    Descriptor descriptor(
        ::open(path.c_str(), flags | O_CLOEXEC, kOwnerWritesGroupReads));
    if (descriptor.get() < 0) {
      return failed(path);
    }
    return std::make_unique<PosixFile>(std::move(descriptor), path);
  }
};

FileResult<std::vector<DirectoryEntry>> PosixFileSystem::list(
    const std::string& path) {
  const std::unique_ptr<DIR, int (*)(DIR*)> folder(::opendir(path.c_str()),
                                                   &::closedir);
  if (!folder) {
    return failed(path);
  }
  std::vector<DirectoryEntry> entries;
  while (true) {
    errno = 0;
    const dirent* entry = ::readdir(folder.get());
    if (entry == nullptr) {
      break;
    }
    const std::string_view name(&entry->d_name[0]);
    if (name == "." || name == "..") {
      continue;
    }
    struct stat facts {};
    const bool known =
        ::fstatat(::dirfd(folder.get()), &entry->d_name[0], &facts, 0) == 0;
    entries.push_back({std::string(name), known && S_ISDIR(facts.st_mode)});
  }
  if (errno != 0) {
    return failed(path);
  }
  return entries;
}

}  // namespace

std::unique_ptr<FileSystem> posix_file_system() {
  return std::make_unique<PosixFileSystem>();
}

}  // namespace stillpoint::archive

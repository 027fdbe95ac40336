#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <optional>
#include <system_error>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint {
namespace {

constexpr ::mode_t kFileMode = 0644;

Error system_error(const char* what, int error_number, std::string path) {
  std::string words = what;
  words += ": ";
  words += std::generic_category().message(error_number);
  return Error{ErrorCode::kIo, std::move(words), std::move(path), {}};
}

// A new name lasts once the folder that holds it is on the disk.
Status sync_folder_of(const std::string& path) {
  std::filesystem::path folder = std::filesystem::path(path).parent_path();
  if (folder.empty()) {
    folder = ".";
  }
  const int descriptor =
      ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) {
    return fail(system_error("cannot open the folder", errno, folder.string()));
  }
  const int synced = ::fsync(descriptor);
  const int error_number = errno;
  ::close(descriptor);
  // EINVAL: a file system whose folders need no syncing.
  if (synced != 0 && error_number != EINVAL) {
    return fail(
        system_error("cannot sync the folder", error_number, folder.string()));
  }
  return ok();
}

class FileSink final : public ByteSink {
 public:
  FileSink(int descriptor, std::string path, std::string part)
      : descriptor_(descriptor),
        path_(std::move(path)),
        part_(std::move(part)) {}
  FileSink(const FileSink&) = delete;
  FileSink& operator=(const FileSink&) = delete;
  ~FileSink() override { abandon(); }

  Status write(std::string_view bytes) override {
    STILLPOINT_CHECK(!closed_);
    if (failed_) {
      return fail(*failed_);
    }
    while (!bytes.empty()) {
      const ssize_t taken = ::write(descriptor_, bytes.data(), bytes.size());
      if (taken >= 0) {
        bytes.remove_prefix(static_cast<std::size_t>(taken));
      } else if (errno != EINTR) {
        return failed("cannot write", errno);
      }
    }
    return ok();
  }

  Status close() override {
    STILLPOINT_CHECK(!closed_);
    if (failed_) {
      return fail(*failed_);
    }
    if (::fsync(descriptor_) != 0) {
      return failed("cannot write", errno);
    }
    if (::close(std::exchange(descriptor_, -1)) != 0 && errno != EINTR) {
      return failed("cannot close", errno);
    }
    if (::rename(part_.c_str(), path_.c_str()) != 0) {
      return failed("cannot take its final name", errno);
    }
    closed_ = true;
    return sync_folder_of(path_);
  }

 private:
  // What is not whole does not stay, and the first error is told again.
  Status failed(const char* what, int error_number) {
    failed_ = system_error(what, error_number, path_);
    abandon();
    return fail(*failed_);
  }
  void abandon() {
    if (descriptor_ >= 0) {
      ::close(std::exchange(descriptor_, -1));
    }
    if (!closed_ && !part_.empty()) {
      ::unlink(part_.c_str());
      part_.clear();
    }
  }

  int descriptor_;
  std::string path_, part_;
  std::optional<Error> failed_;
  bool closed_ = false;
};

}  // namespace

Result<std::unique_ptr<ByteSink>> file_sink(const std::string& path) {
  std::string part = path + ".part";
  const int descriptor =
      ::open(part.c_str(),
             O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC,
             kFileMode);
  if (descriptor < 0) {
    return fail(system_error("cannot create", errno, std::move(part)));
  }
  return std::make_unique<FileSink>(descriptor, path, std::move(part));
}

}  // namespace stillpoint

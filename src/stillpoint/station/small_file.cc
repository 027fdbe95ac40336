#include "stillpoint/station/small_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>

namespace stillpoint::station {
namespace {

// Closes itself.
class File {
 public:
  File(const std::string& path, int flags)
      : descriptor_(
            ::open(path.c_str(), flags | O_CLOEXEC, S_IRUSR | S_IWUSR)) {}
  ~File() {
    if (descriptor_ >= 0) {
      ::close(descriptor_);
    }
  }
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  [[nodiscard]] int get() const { return descriptor_; }

 private:
  int descriptor_;
};

tl::unexpected<Error> io_error(const std::string& path) {
  return fail(ErrorCode::kIo, std::generic_category().message(errno), path);
}

bool write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(file, text.data(), text.size());
    if (written < 0 && errno != EINTR) {
      return false;
    }
    text.remove_prefix(written < 0 ? 0 : static_cast<std::size_t>(written));
  }
  return true;
}

bool sync_folder(const std::string& path) {
  const File folder(std::filesystem::path(path).parent_path().string(),
                    O_RDONLY | O_DIRECTORY);
  return folder.get() >= 0 && ::fsync(folder.get()) == 0;
}

}  // namespace

Result<std::string> read_small_file(const std::string& path,
                                    std::size_t most_bytes) {
  const File file(path, O_RDONLY);
  if (file.get() < 0) {
    return io_error(path);
  }
  std::string text;
  std::array<char, 4096> part{};
  while (true) {
    const ssize_t n = ::read(file.get(), part.data(), part.size());
    if (n < 0 && errno == EINTR) {
      continue;
    }
    if (n < 0) {
      return io_error(path);
    }
    if (n == 0) {
      return text;
    }
    text.append(part.data(), static_cast<std::size_t>(n));
    if (text.size() > most_bytes) {
      return fail(ErrorCode::kTooLarge,
                  "more than " + std::to_string(most_bytes) + " bytes",
                  path);
    }
  }
}

Status write_private_file(const std::string& path, const std::string& text) {
  const std::string part = path + ".part";
  ::unlink(part.c_str());
  {
    const File file(part, O_WRONLY | O_CREAT | O_EXCL);
    if (file.get() < 0 || !write_all(file.get(), text) ||
        ::fsync(file.get()) != 0) {
      return io_error(part);
    }
  }
  if (std::rename(part.c_str(), path.c_str()) != 0 || !sync_folder(path)) {
    return io_error(path);
  }
  return ok();
}

}  // namespace stillpoint::station

#include "stillpoint/net/http_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

namespace stillpoint::net {
namespace {

Error unreadable(int number, const std::string& path) {
  return {ErrorCode::kIo,
          "it cannot be read: " + std::generic_category().message(number),
          path,
          "check that it is there and that this user may read it"};
}

}  // namespace

Result<std::shared_ptr<HttpFile>> HttpFile::open(const std::string& path) {
  // Non-blocking: a named pipe would hold up the loop until it has a writer.
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) {
    return fail(unreadable(errno, path));
  }
  auto file = std::make_shared<HttpFile>(fd, 0);
  struct stat about {};
  if (::fstat(fd, &about) != 0) {
    return fail(unreadable(errno, path));
  }
  if (!S_ISREG(about.st_mode)) {
    return fail(ErrorCode::kUnsupported,
                "it is no regular file",
                path,
                "name a file, not a folder or a device");
  }
  file->length_ = static_cast<std::uint64_t>(about.st_size);
  return file;
}

HttpFile::~HttpFile() {
  ::close(fd_);
}

std::size_t HttpFile::read_at(std::uint64_t place,
                              char* into,
                              std::size_t most) const {
  if (place >= length_) {
    return 0;
  }
  const auto wanted =
      static_cast<std::size_t>(std::min<std::uint64_t>(most, length_ - place));
  ssize_t got = -1;
  do {
    got = ::pread(fd_, into, wanted, static_cast<off_t>(place));
  } while (got < 0 && errno == EINTR);
  return got > 0 ? static_cast<std::size_t>(got) : 0;
}

}  // namespace stillpoint::net

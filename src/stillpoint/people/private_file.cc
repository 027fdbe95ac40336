#include "stillpoint/people/private_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <system_error>
#include <utility>

namespace stillpoint::people {

Descriptor::~Descriptor() {
  if (number_ >= 0) {
    ::close(number_);
  }
}

tl::unexpected<Error> file_refused(const std::string& doing,
                                   const std::filesystem::path& path,
                                   std::string remedy) {
  return fail(ErrorCode::kIo,
              "cannot " + doing + ": " + std::generic_category().message(errno),
              path.string(),
              std::move(remedy));
}

Status write_whole(int file,
                   std::string_view bytes,
                   const std::string& what,
                   const std::filesystem::path& path) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(file, bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) {
      continue;
    }
    if (put < 0) {
      return file_refused("write " + what, path);
    }
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
  if (::fsync(file) != 0) {
    return file_refused("bring " + what + " to the disk", path);
  }
  return ok();
}

Status sync_folder(const std::filesystem::path& folder) {
  const Descriptor open(
      ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (open.get() < 0 || ::fsync(open.get()) != 0) {
    return file_refused("bring the folder to the disk", folder);
  }
  return ok();
}

std::filesystem::path folder_of(const std::filesystem::path& path) {
  return path.has_parent_path() ? path.parent_path() : ".";
}

Status replace_private_file(const std::filesystem::path& path,
                            std::string_view text,
                            const std::string& what) {
  const std::filesystem::path folder = folder_of(path);
  // Under a name of its own until it is whole.
  std::string part = path.string() + ".XXXXXX";
  const Descriptor file(::mkostemp(part.data(), O_CLOEXEC));  // 0600
  if (file.get() < 0) {
    return file_refused("make a file for " + what, folder);
  }
  Status done = write_whole(file.get(), text, what, part);
  if (done && std::rename(part.c_str(), path.c_str()) != 0) {
    done = file_refused("name the file of " + what, path);
  }
  if (!done) {
    ::unlink(part.c_str());
    return done;
  }
  return sync_folder(folder);
}

}  // namespace stillpoint::people

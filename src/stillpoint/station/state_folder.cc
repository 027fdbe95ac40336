#include "stillpoint/station/state_folder.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

namespace stillpoint::station {
namespace {

constexpr mode_t kFolderMode = 0750, kKeysMode = 0700;

std::string words(int number) {
  return std::generic_category().message(number);
}

Status make_folder(const std::string& path, mode_t mode) {
  if (::mkdir(path.c_str(), mode) == 0) {
    return ok();
  }
  const int why = errno;
  struct stat info {};
  if (why == EEXIST && ::stat(path.c_str(), &info) == 0 &&
      S_ISDIR(info.st_mode)) {
    return ok();
  }
  return fail(ErrorCode::kIo,
              "the folder cannot be made: " + words(why),
              path,
              why == ENOENT ? "make the folder above it, or name another in "
                              "'state' of [station]"
                            : "make it and give it to the user that runs the "
                              "station, or name another in 'state' of "
                              "[station]");
}

}  // namespace

Result<StateFolder> StateFolder::open(const std::string& path) {
  for (const auto& [folder, mode] : {std::pair{path, kFolderMode},
                                     {path + "/raw", kFolderMode},
                                     {path + "/keys", kKeysMode}}) {
    if (auto made = make_folder(folder, mode); !made) {
      return fail(std::move(made.error()));
    }
  }
  // The folder itself is locked, so that a disk that is read-only for now
  // keeps nobody from serving rovers.
  const int lock = ::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (lock < 0) {
    return fail(ErrorCode::kIo, words(errno), path);
  }
  if (::flock(lock, LOCK_EX | LOCK_NB) != 0) {
    const int why = errno;
    ::close(lock);
    if (why == EWOULDBLOCK) {
      return fail(ErrorCode::kUsage,
                  "another station works in this folder",
                  path,
                  "stop it first, or name another folder in 'state' of "
                  "[station]");
    }
    return fail(ErrorCode::kIo, words(why), path);
  }
  return StateFolder(path, lock);
}

StateFolder::StateFolder(StateFolder&& other) noexcept
    : path_(std::move(other.path_)), lock_(std::exchange(other.lock_, -1)) {}

StateFolder::~StateFolder() {
  if (lock_ >= 0) {
    ::close(lock_);
  }
}

}  // namespace stillpoint::station

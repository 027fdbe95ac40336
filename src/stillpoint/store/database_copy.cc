#include "stillpoint/store/database_copy.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <memory>
#include <system_error>
#include <utility>

#include "stillpoint/store/database.h"

namespace stillpoint {
namespace {

constexpr const char* kCopying = "copy the database";

tl::unexpected<Error> refused(const char* doing,
                              int number,
                              const std::string& path) {
  return fail(
      ErrorCode::kIo,
      std::string("cannot ") + doing + ": " +
          std::generic_category().message(number),
      path,
      "check that the folder exists, that this user may write in it and that "
      "the disk has room");
}

Status copy_pages(Database& from, Database& to) {
  sqlite3_backup* backup =
      sqlite3_backup_init(to.handle(), "main", from.handle(), "main");
  if (backup == nullptr) {
    return fail(to.error(sqlite3_extended_errcode(to.handle()), kCopying));
  }
  const int stepped = sqlite3_backup_step(backup, -1);
  const int code = sqlite3_backup_finish(backup);
  if (stepped != SQLITE_DONE || code != SQLITE_OK) {
    return fail(to.error(code != SQLITE_OK ? code : stepped, kCopying));
  }
  return ok();
}

Status write_copy(const std::string& from, const std::string& part) {
  Status created = create_private_file(part);
  if (!created) {
    return created;
  }
  auto source = Database::open(from, SQLITE_OPEN_READONLY);
  if (!source) {
    return fail(std::move(source.error()));
  }
  auto target = Database::open(part, SQLITE_OPEN_READWRITE);
  if (!target) {
    return fail(std::move(target.error()));
  }
  return copy_pages(**source, **target);
}

// The new name itself must be on the disk before anything relies on it.
Status sync_folder(const std::string& path) {
  const std::string folder = std::filesystem::path(path).parent_path().string();
  const int descriptor =
      ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) {
    return refused("open the folder", errno, folder);
  }
  const int number = ::fsync(descriptor) == 0 ? 0 : errno;
  ::close(descriptor);
  if (number != 0) {
    return refused("write the folder to the disk", number, folder);
  }
  return ok();
}

}  // namespace

Status create_private_file(const std::string& path) {
  const int descriptor =
      ::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (descriptor >= 0) {
    ::close(descriptor);
    return ok();
  }
  if (errno == EEXIST) {
    return ok();
  }
  return refused("create the file", errno, path);
}

Status copy_database(const std::string& from, const std::string& to) {
  const std::string part = to + ".part";
  std::error_code problem;
  std::filesystem::remove(part, problem);
  Status written = write_copy(from, part);
  if (!written) {
    std::filesystem::remove(part, problem);
    return written;
  }
  std::filesystem::rename(part, to, problem);
  if (problem) {
    return refused("put the copy in its place", problem.value(), to);
  }
  return sync_folder(to);
}

}  // namespace stillpoint

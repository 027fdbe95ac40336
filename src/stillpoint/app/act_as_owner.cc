#include "stillpoint/app/act_as_owner.h"

#include <grp.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

namespace stillpoint::app {

Status act_as_owner(const std::string& folder, const std::string& remedy) {
  struct stat facts {};
  if (::stat(folder.c_str(), &facts) != 0) {
    return fail(ErrorCode::kIo,
                "the station's folder cannot be used: " +
                    std::generic_category().message(errno),
                folder,
                remedy);
  }
  if (!S_ISDIR(facts.st_mode)) {
    return fail(
        ErrorCode::kIo, "the station's folder is no folder", folder, remedy);
  }
  if (::geteuid() != 0 || facts.st_uid == 0) {
    return ok();
  }
  // The user last: without it the groups can no longer be left.
  if (::setgroups(0, nullptr) != 0 || ::setgid(facts.st_gid) != 0 ||
      ::setuid(facts.st_uid) != 0) {
    return fail(ErrorCode::kIo,
                "cannot take the rights of the folder's owner: " +
                    std::generic_category().message(errno),
                folder,
                "run this as the user that runs the station");
  }
  return ok();
}

}  // namespace stillpoint::app

#include "stillpoint/app/whole_file.h"

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <fstream>

namespace stillpoint::app {
namespace {

std::string part_of(const std::string& path, const std::string& folder) {
  if (folder.empty()) {
    return path + ".part";
  }
  const std::filesystem::path name = std::filesystem::path(path).filename();
  return (std::filesystem::path(folder) / name).string() + ".part";
}

}  // namespace

Status write_whole_file(const std::string& path,
                        const std::string& text,
                        const std::string& working_folder) {
  const std::string part = part_of(path, working_folder);
  {
    std::ofstream out(part, std::ios::binary | std::ios::trunc);
    out << text;
    out.flush();
    if (!out) {
      std::remove(part.c_str());
      return fail(ErrorCode::kIo,
                  "the result cannot be written",
                  working_folder.empty() ? path : part,
                  "give a path in a folder that this user may write to");
    }
  }
  if (std::rename(part.c_str(), path.c_str()) != 0) {
    const bool other_disk = errno == EXDEV;
    std::remove(part.c_str());
    return fail(ErrorCode::kIo,
                "the result cannot be put in place",
                path,
                other_disk ? "have working-folder on the file system of the "
                             "results, since only there a file can be put in "
                             "place whole"
                           : "give a path in a folder that this user may write "
                             "to");
  }
  return ok();
}

}  // namespace stillpoint::app

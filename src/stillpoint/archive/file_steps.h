// Steps made of file calls that an interruption or a short write does not
// break. Only calls that leave nothing behind when they are interrupted are
// made again; a sync never is.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

// Calls until the answer is something else than "interrupted".
template <class Call>
auto uninterrupted(Call call) -> decltype(call()) {
  constexpr int kMostTries = 32;  // then it is no accident
  for (int i = 1;; ++i) {
    auto result = call();
    if (result || result.error().fault != FileFault::kInterrupted ||
        i == kMostTries) {
      return result;
    }
  }
}

// All of the bytes, in as many calls as it takes.
FileStatus append_all(OpenFile& file, ByteSpan bytes);

// As many bytes as there are from `offset` on, at most `count`.
FileResult<std::vector<std::uint8_t>> read_some(OpenFile& file,
                                                std::uint64_t offset,
                                                std::size_t count);

// A whole new file, synced, under a name that counts only once it is complete:
// written as "<path>.part", then renamed over `path`, folder synced.
FileStatus replace_file(FileSystem& files,
                        const std::string& path,
                        ByteSpan bytes);

// The folder that holds a path; "." for a bare name.
std::string folder_of(const std::string& path);

// The entries; none where there is no such folder.
FileResult<std::vector<DirectoryEntry>> list_if_there(FileSystem& files,
                                                      const std::string& path);

// Removes a file; fine where there is none.
FileStatus remove_if_there(FileSystem& files, const std::string& path);

}  // namespace stillpoint::archive

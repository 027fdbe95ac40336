#include "stillpoint/archive/segment_place.h"

#include <algorithm>

#include "stillpoint/archive/file_steps.h"

namespace stillpoint::archive {

FileStatus make_day_folders(FileSystem& files,
                            const std::string& root,
                            const std::string& folder) {
  // Also where they are there already: their names may not have been synced.
  std::string parent = root;
  const std::size_t slash = folder.find('/');
  for (const std::string& name :
       {folder.substr(0, slash), folder.substr(slash + 1)}) {
    std::string made = parent;
    made.append("/").append(name);
    auto done = uninterrupted([&] { return files.make_directory(made); });
    if (!done && done.error().fault != FileFault::kExists) {
      return done;
    }
    done = files.fsync_directory(parent);
    if (!done) {
      return done;
    }
    parent = made;
  }
  return std::monostate{};
}

FileResult<SegmentName> free_name(FileSystem& files,
                                  const std::string& root,
                                  const UtcHour& hour) {
  SegmentName name{hour, 0};
  const auto names = segments_in(files, root, name.folder());
  if (!names) {
    return tl::unexpected<FileError>(names.error());
  }
  for (const SegmentName& taken : *names) {
    if (taken.hour == hour) {
      name.number = std::max(name.number, taken.number + 1);
    }
  }
  return name;
}

}  // namespace stillpoint::archive

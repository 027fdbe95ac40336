// Where a new segment goes.
#pragma once

#include <string>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

// Both folders of a day ("2026/329") below the archive's, their names synced.
FileStatus make_day_folders(FileSystem& files,
                            const std::string& root,
                            const std::string& folder);

// The first name of the hour behind all that are taken.
FileResult<SegmentName> free_name(FileSystem& files,
                                  const std::string& root,
                                  const UtcHour& hour);

}  // namespace stillpoint::archive

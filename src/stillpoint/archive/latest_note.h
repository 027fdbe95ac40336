// The note "latest" in the archive's folder: the segment begun last. It is on
// the card before any byte of that segment is acknowledged, so that a start
// finds the end of the stream without a look at every segment of ten years,
// also where the clock was once wrong by a month.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

struct LatestNote {
  SegmentName name;
  std::uint64_t stream = 0;
  std::uint64_t first_offset = 0;
};

FileStatus write_latest(FileSystem& files,
                        const std::string& root,
                        const LatestNote& note);

// Nothing where there is none, or none that is whole.
FileResult<std::optional<LatestNote>> read_latest(FileSystem& files,
                                                  const std::string& root);

}  // namespace stillpoint::archive

// A segment without a closing (the tail after an unclean end, or one that was
// given up) is never written again: what is good in it is copied into a new
// file of its name, with a closing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/archive/segment_notes.h"
#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

struct Sealed {
  bool empty = false;       // no byte was good: the file is removed
  bool unreadable = false;  // the device did not give all: the file stays
  std::uint64_t stream = 0, first_offset = 0, end_offset = 0;
  GnssTime last_time;
  Digest digest{};
  std::vector<Gap> gaps;  // ranges that the file should hold and does not
};

//   level   zstd's, of the copy
FileResult<Sealed> seal_segment(FileSystem& files,
                                const std::string& root,
                                const SegmentName& name,
                                int level);

}  // namespace stillpoint::archive

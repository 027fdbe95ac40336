// Which segments make room, decided from names and sizes alone; and their
// removal.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/core/file_system.h"
#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

struct StoredSegment {
  SegmentName name;
  std::uint64_t size = 0;
};

struct RetentionRule {
  std::uint64_t most_bytes = 0;  // of all segments; 0: no limit
  Duration most_age{0};          // of a segment's hour; 0: no limit
};

// The segments to remove, oldest first by name. Never the segment `keep` (the
// one that is being written), and none of hours that lie in the future: where
// the clock is wrong, age says nothing.
//
//   threads  pure
std::vector<SegmentName> to_remove(std::vector<StoredSegment> stored,
                                   const RetentionRule& rule,
                                   GnssTime now,
                                   const SegmentName& keep);

Result<std::vector<StoredSegment>> stored_segments(FileSystem& files,
                                                   const std::string& root);

// Removes them, and day folders that are empty then. Goes on after a failure
// and reports the first.
Status remove_segments(FileSystem& files,
                       const std::string& root,
                       const std::vector<SegmentName>& names);

}  // namespace stillpoint::archive

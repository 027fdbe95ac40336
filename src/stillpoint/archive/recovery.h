// What a start finds, and what it repairs: half-written copies go, segments
// without a closing are sealed, the end of the stream is found and what was
// lost is named. It may be broken off at any step and be run again.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/archive/segment_notes.h"
#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

struct Recovered {
  bool found = false;  // there is a recorded stream
  std::uint64_t stream = 0;
  std::uint64_t end_offset = 0;  // where the stream goes on
  PreviousSegment previous;      // for the next opening
  std::vector<Gap> lost;         // exact ranges; see kInterrupted for the tail
};

// Where the device does not give a block, the stream goes on so far behind all
// that the block could hold, so that no offset is ever used twice.
inline constexpr std::uint64_t kUnreadableSkip = std::uint64_t{1} << 32U;

//   now     the present time, for the end of the interruption
//   level   zstd's, of the copies that are made
FileResult<Recovered> recover(FileSystem& files,
                              const std::string& root,
                              GnssTime now,
                              int level);

}  // namespace stillpoint::archive

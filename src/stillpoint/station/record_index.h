// What is recorded, segment by segment, from their closings: read once each, as
// a segment that is closed does not change.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/core/file_system.h"
#include "stillpoint/core/result.h"
#include "stillpoint/station/recording.h"

namespace stillpoint::station {

struct RecordedSegment {
  archive::SegmentName name;
  std::uint64_t disk_bytes = 0;  // of the file
  std::uint64_t bytes = 0;       // received; 0: not known
  bool open = false;             // has no closing: is written, or was torn
  std::optional<GnssTime> received_from, received_to;
  // By the decoder, to a second or so; nothing where it was not told.
  std::optional<EpochSpan> epochs;
};

//   threads  one
class RecordIndex {
 public:
  // `files` outlives it; `root` is the archive's folder.
  RecordIndex(FileSystem& files, std::string root)
      : files_(files), root_(std::move(root)) {}

  // All segments, oldest first. The one that is written has what `recording`
  // says of it.
  //
  //   errors   kIo
  Result<std::vector<RecordedSegment>> list(const RecordingFacts& recording);

 private:
  [[nodiscard]] RecordedSegment read(const archive::SegmentName& name,
                                     std::uint64_t size) const;

  FileSystem& files_;
  const std::string root_;
  std::map<archive::SegmentName, RecordedSegment> known_;
};

}  // namespace stillpoint::station

// The recorded stream again: bytes in the order of the stream, each once, and
// every range that is not there with its reason. Finds a time range by folder
// names, then by a search in the blocks; an archive that is being written may
// be read at the same time.
#pragma once

#include <cstdint>
#include <string>

#include "stillpoint/archive/gap.h"
#include "stillpoint/core/bytes.h"
#include "stillpoint/core/file_system.h"
#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

struct ArchiveBytes {
  std::uint64_t stream = 0;
  std::uint64_t offset = 0;
  GnssTime received;
  ByteSpan bytes;
};

class ArchiveSink {
 public:
  ArchiveSink() = default;
  ArchiveSink(const ArchiveSink&) = delete;
  ArchiveSink& operator=(const ArchiveSink&) = delete;
  ArchiveSink(ArchiveSink&&) = delete;
  ArchiveSink& operator=(ArchiveSink&&) = delete;
  virtual ~ArchiveSink() = default;
  virtual void on_bytes(const ArchiveBytes& bytes) = 0;
  // from = to: something is damaged or was interrupted there, and no byte that
  // has an offset is known to be lost.
  virtual void on_gap(const Gap& gap) = 0;
};

struct ArchiveEnd {
  std::uint64_t offset = 0;  // of the first byte after the last one found
  bool open = false;  // the last segment has no closing: it is being written,
                      // or was cut
};

// Receive times [from, to).
//
//   root     the folder that holds YYYY/DDD/HH.seg
//   errors   kIo where a folder cannot be listed, kNoData where no segment of
//            these times or later is there; a file that cannot be read is a gap
Result<ArchiveEnd> read_archive(FileSystem& files,
                                const std::string& root,
                                GnssTime from,
                                GnssTime to,
                                ArchiveSink& sink);

}  // namespace stillpoint::archive

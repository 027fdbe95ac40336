// Writes a stream of opaque bytes into segments and says which of them are
// safe. It reads no clock and starts no thread: the caller hands in the time,
// and calls tick() at least once a second.
//
// A byte is acknowledged when durable_offset() has passed it: only after an
// fdatasync that covers it, and the syncs of the names that lead to it, have
// returned 0. A sync that failed is never tried again on the same pages: the
// segment is given up, a new one is begun, and everything that is not yet
// acknowledged is written again from memory; so are the bytes of the commit
// before, because some file systems say at the next sync that the last one did
// not reach the disk. While the card takes nothing, bytes are kept up to a
// limit; beyond it the oldest are dropped, and the range is noted in the next
// segment.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/pending_bytes.h"
#include "stillpoint/archive/recovery.h"
#include "stillpoint/archive/segment_name.h"
#include "stillpoint/archive/segment_notes.h"
#include "stillpoint/archive/segment_writer.h"
#include "stillpoint/core/file_system.h"
#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

struct Acknowledged {
  std::uint64_t stream = 0;
  std::uint64_t offset = 0;  // a durable_offset() of it
};

struct RecorderOptions {
  std::string root;              // an existing folder, e.g. "<state>/raw"
  std::uint64_t new_stream = 1;  // not 0; where nothing is recorded yet
  // With ticks of a second bytes are on the card 10 s after they came, where
  // this is 9 s at most.
  Duration commit_after{9};
  Duration retry_after{10};                          // after a failure
  std::size_t most_pending = std::size_t{8} << 20U;  // bytes kept in memory
  // zstd's, 1 .. 19: more is smaller and slower. What one commit brings is
  // compressed once, so it holds for what comes, not for hours that are over.
  int level = kDefaultLevel;
  // What the caller's own log says was acknowledged, where it knows: if the
  // card has less, that is named as lost and its offsets are not used again.
  std::optional<Acknowledged> acknowledged;
};

// For a status page.
struct RecorderStatus {
  std::string open_segment;  // its path below the root; empty: none
  std::size_t pending_bytes = 0;
  std::optional<GnssTime> last_commit;  // of this run
  // The last call that failed in this run, and when; stays when all is well
  // again.
  std::optional<FileError> last_error;
  std::optional<GnssTime> last_error_time;
  bool works = true;  // the last attempt to write worked
};

enum class ArchiveEventKind : std::uint8_t {
  kLost,     // found at the start: [from, to) with its times
  kBegun,    // a segment
  kClosed,   // a segment
  kGivenUp,  // a segment, after a failure; its unacknowledged bytes are kept
  kCannotWrite,  // no segment could be begun; tried again later
  kDropping,     // memory is full: the oldest bytes go
  kDropped,      // the range that is gone, now noted on the card
  kNotTidied,    // sealing failed; nothing is lost
};

struct ArchiveEvent {
  ArchiveEventKind kind = ArchiveEventKind::kBegun;
  std::string path;                // of the segment; may be empty
  std::optional<Gap> range;        // kLost, kDropping, kDropped
  std::optional<FileError> error;  // of the call that failed
};
using ArchiveEvents = std::function<void(const ArchiveEvent&)>;

class Recorder {
 public:
  // Repairs what an unclean end left behind, then goes on where the stream
  // ended. Writes no segment before there are bytes.
  //
  //   errors   kIo: call again later; bytes received until then are no part
  //            of the recorded stream
  static Result<std::unique_ptr<Recorder>> open(FileSystem& files,
                                                RecorderOptions options,
                                                GnssTime now,
                                                ArchiveEvents events);

  // Takes the bytes; may write. Times may step in either direction.
  void append(ByteSpan bytes, GnssTime received);
  // Writes what is due; closes a segment whose hour is over.
  void tick(GnssTime now);
  // Writes everything and closes the segment. kIo where that did not work;
  // what was acknowledged stays so.
  Status close(GnssTime now);

  // For the closing of the open segment; cleared with it. kTooLarge where
  // tags and counts do not fit a closing.
  Status set_tag(const std::string& key, const std::string& value);
  Status add_count(const std::string& key, std::uint64_t more);

  // For commits to come.
  void set_commit_after(Duration age) { options_.commit_after = age; }
  // For segments to come.
  void set_level(int level) { options_.level = level; }

  [[nodiscard]] RecorderStatus status() const;
  [[nodiscard]] std::uint64_t stream() const { return stream_; }
  // Every byte before is on the card, or in a range that kLost or kDropped
  // has named.
  [[nodiscard]] std::uint64_t durable_offset() const { return durable_; }
  [[nodiscard]] std::uint64_t end_offset() const { return end_; }
  [[nodiscard]] std::uint64_t dropped_bytes() const { return dropped_; }

 private:
  struct Segment {
    SegmentName name;
    std::unique_ptr<OpenFile> file;
    std::unique_ptr<SegmentWriter> writer;
    std::uint64_t first = 0;
    bool named = false;      // its names and the note of it are synced
    std::optional<Gap> gap;  // noted in it and not yet durable
  };

  Recorder(FileSystem& files, RecorderOptions options, ArchiveEvents events);
  void take_over(const Recovered& recovered, GnssTime now);

  // Whole pages only, where what remains may wait, or everything.
  enum class Extent : std::uint8_t { kWholePages, kAll };
  bool commit(GnssTime now, Extent extent);
  // Pending bytes from written_ on that belong to the open segment.
  FileStatus write_run(GnssTime now, Extent extent);
  FileStatus begin_segment(const UtcHour& hour, GnssTime time);
  FileStatus sync_segment();
  FileStatus close_segment();
  void give_up(const FileError& error, GnssTime now);
  void tidy();
  void drop_oldest(GnssTime now);
  [[nodiscard]] bool may_try(GnssTime now) const;
  [[nodiscard]] std::string path(const SegmentName& name) const {
    return options_.root + "/" + name.path();
  }
  void say(ArchiveEventKind kind,
           std::string where,
           std::optional<Gap> range = {},
           std::optional<FileError> error = {}) const;

  FileSystem& files_;
  RecorderOptions options_;
  ArchiveEvents events_;
  std::uint64_t stream_ = 0;
  // durable_ <= end_; pending_ holds [durable_, end_) less what was dropped at
  // its front, and after a failure also what was kept before it: then written_
  // is less than durable_.
  std::uint64_t durable_ = 0, written_ = 0, end_ = 0, dropped_ = 0;
  PendingBytes pending_;
  bool unsynced_ = false;  // something was written since the last sync
  GnssTime durable_time_;  // of the last durable byte
  std::optional<Segment> segment_;
  PreviousSegment previous_;
  std::optional<GnssTime> failed_at_, last_commit_, last_error_time_;
  std::optional<FileError> last_error_;
  bool dropping_ = false;
  Tags tags_;
  Counts counts_;
  std::vector<SegmentName> to_seal_;
};

}  // namespace stillpoint::archive

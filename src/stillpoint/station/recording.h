// The thread that writes received bytes to the disk, deletes the oldest hours
// where room is needed, and says what became of every byte. Nothing here can
// hold up the receiver: bytes that come while the disk hangs wait in memory,
// and beyond a limit they are lost, counted and told.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "stillpoint/archive/recorder.h"
#include "stillpoint/archive/retention.h"
#include "stillpoint/core/file_system.h"
#include "stillpoint/core/log.h"
#include "stillpoint/station/byte_queue.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

// What may change while it works (archive section of station.toml).
struct RecordingLimits {
  Duration commit_after{5};
  int compression = 3;
  std::uint64_t keep_bytes = 0;        // 0: no limit
  Duration keep_age{0};                // 0: no limit
  std::uint64_t leave_free_bytes = 0;  // of the disk
};

// Epochs of received bytes, as the decoder tells them: to a second or so.
struct EpochSpan {
  GnssTime first, last;
};

struct RecordingOptions {
  std::string root;              // an existing folder
  std::uint64_t new_stream = 1;  // where nothing is recorded yet
  std::size_t most_queued = std::size_t{8} << 20U;
  std::chrono::nanoseconds retry_after = std::chrono::seconds{10};
  std::chrono::nanoseconds tidy_every = std::chrono::minutes{1};
  // Free bytes of the disk that holds `root`; nothing where it cannot tell.
  std::function<std::optional<std::uint64_t>()> free_bytes;
  std::function<bool()> clock_proved = [] { return false; };
  // The newest epoch that was decoded; for the tags of segments.
  std::function<std::optional<GnssTime>()> last_epoch = [] {
    return std::optional<GnssTime>();
  };
};

// Tags of a segment's closing: whole ns of GPST, as text.
inline constexpr const char* kFirstEpochTag = "first_epoch_gpst_ns";
inline constexpr const char* kLastEpochTag = "last_epoch_gpst_ns";

enum class RecordingState : std::uint8_t {
  kOpening,  // the disk has not let us begin yet
  kRecording,
  kCannotWrite,  // bytes wait in memory
};

struct RecordingFacts {
  RecordingState state = RecordingState::kOpening;
  std::string why;  // where it is not kRecording
  std::uint64_t stream = 0, durable_offset = 0, end_offset = 0;
  std::uint64_t queued_bytes = 0;   // not yet handed to the recorder
  std::uint64_t dropped_bytes = 0;  // by the recorder and before it
  std::uint64_t segments_closed = 0, segments_given_up = 0;
  std::optional<std::uint64_t> segments, disk_free_bytes;
  // When durable_offset last moved.
  std::optional<std::chrono::nanoseconds> committed_at;
  std::string open_segment;  // its path below the root; empty: none
  std::optional<EpochSpan> open_epochs;
};

class Recording {
 public:
  // `files` and `chronicle` outlive it.
  Recording(FileSystem& files,
            RecordingOptions options,
            RecordingLimits limits,
            Clocks clocks,
            Chronicle& chronicle,
            Logger log);

  // The thread's work, until stop(); then all that waits is written and the
  // segment closed.
  void run();
  void stop() { queue_.close(); }

  // threads  any
  void take(ReceivedBytes bytes);
  // For recorded sources, which wait for the disk.
  void take_waiting(ReceivedBytes bytes);
  void set_limits(const RecordingLimits& limits);
  [[nodiscard]] RecordingFacts facts() const;
  [[nodiscard]] const Heartbeat& heart() const { return heart_; }

 private:
  void try_open();
  void write(const std::vector<ReceivedBytes>& items);
  void tag_epochs();
  void on_event(const archive::ArchiveEvent& event);
  void tell_lost(const archive::Gap& gap);
  void begin();
  void tell_dropped_before();
  void tidy();
  void publish();
  [[nodiscard]] RecordingLimits limits() const;

  FileSystem& files_;
  const RecordingOptions options_;
  const Clocks clocks_;
  Chronicle& chronicle_;
  const Logger log_;
  Heartbeat heart_;
  ByteQueue queue_;

  // Of the thread alone.
  std::unique_ptr<archive::Recorder> recorder_;
  std::optional<std::chrono::nanoseconds> opening_failed_at_;
  std::chrono::nanoseconds tidied_at_{0};
  // When all hours were listed; nothing once there is another segment.
  std::optional<std::chrono::nanoseconds> listed_at_;
  bool told_lost_ = false;
  std::optional<EpochSpan> epochs_;  // of the open segment
  std::optional<GnssTime> tagged_;

  // Bytes that did not fit the queue, not yet told.
  struct Dropped {
    std::uint64_t bytes = 0;
    GnssTime first, last;
  };
  mutable std::mutex mutex_;
  std::optional<Dropped> dropped_;
  std::uint64_t dropped_bytes_ = 0;
  RecordingLimits limits_;
  RecordingFacts facts_;
};

}  // namespace stillpoint::station

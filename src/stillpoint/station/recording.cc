#include "stillpoint/station/recording.h"

#include <algorithm>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using archive::ArchiveEvent;
using archive::ArchiveEventKind;

constexpr std::chrono::nanoseconds kTurn = std::chrono::milliseconds{500};
constexpr std::chrono::nanoseconds kListEvery = std::chrono::hours{1};
constexpr std::chrono::nanoseconds kLogbookPatience = std::chrono::seconds{10};

std::int64_t as_signed(std::uint64_t value) {
  return static_cast<std::int64_t>(value);
}

const char* reason_text(archive::GapReason reason) {
  switch (reason) {
    case archive::GapReason::kDropped:
      return "the disk took no bytes and memory was full";
    case archive::GapReason::kDamaged:
      return "a block of the disk cannot be read";
    case archive::GapReason::kMissing:
      return "a segment or its end is not there";
    case archive::GapReason::kInterrupted:
      return "the program did not run";
  }
  return "unknown";
}

}  // namespace

Recording::Recording(FileSystem& files,
                     RecordingOptions options,
                     RecordingLimits limits,
                     Clocks clocks,
                     Chronicle& chronicle,
                     Logger log)
    : files_(files),
      options_(std::move(options)),
      clocks_(std::move(clocks)),
      chronicle_(chronicle),
      log_(std::move(log)),
      queue_(options_.most_queued),
      limits_(limits) {}

void Recording::take(ReceivedBytes bytes) {
  const std::uint64_t size = bytes.bytes->size();
  const GnssTime received = bytes.received;
  if (queue_.push(std::move(bytes))) {
    return;
  }
  const std::lock_guard lock(mutex_);
  dropped_bytes_ += size;
  if (!dropped_) {
    dropped_ = Dropped{0, received, received};
  }
  dropped_->bytes += size;
  dropped_->last = received;
}

void Recording::take_waiting(ReceivedBytes bytes) {
  queue_.push_waiting(std::move(bytes));
}

void Recording::set_limits(const RecordingLimits& limits) {
  const std::lock_guard lock(mutex_);
  limits_ = limits;
}

RecordingLimits Recording::limits() const {
  const std::lock_guard lock(mutex_);
  return limits_;
}

RecordingFacts Recording::facts() const {
  const std::lock_guard lock(mutex_);
  RecordingFacts facts = facts_;
  facts.queued_bytes += queue_.bytes();
  facts.dropped_bytes += dropped_bytes_;
  return facts;
}

void Recording::run() {
  while (true) {
    const bool ending = queue_.closed();
    heart_.beat(clocks_.steady());
    if (!recorder_) {
      try_open();
    }
    if (recorder_) {
      write(queue_.take(kTurn));
      tidy();
      publish();
    } else if (!ending) {
      // The queue itself keeps the bytes, and takes no more than its limit.
      queue_.wait(kTurn);
    }
    if (ending) {
      break;
    }
  }
  if (!recorder_) {
    log_.log(LogLevel::kError,
             "received bytes are lost: the disk never let us begin",
             {{"bytes", queue_.bytes()}});
    return;
  }
  if (const auto closed = recorder_->close(clocks_.wall()); !closed) {
    log_.log(LogLevel::kError,
             "the last segment could not be closed",
             {{"why", closed.error().text()}});
  }
  publish();
}

void Recording::try_open() {
  const auto now = clocks_.steady();
  if (opening_failed_at_ && now - *opening_failed_at_ < options_.retry_after) {
    return;
  }
  const RecordingLimits limits = this->limits();
  archive::RecorderOptions options;
  options.root = options_.root;
  options.new_stream = options_.new_stream;
  options.commit_after = limits.commit_after;
  options.level = limits.compression;
  auto opened = archive::Recorder::open(
      files_, options, clocks_.wall(), [this](const ArchiveEvent& event) {
        on_event(event);
      });
  if (opened) {
    recorder_ = std::move(*opened);
    begin();
    return;
  }
  if (!opening_failed_at_) {
    log_.log(LogLevel::kError,
             "recording cannot begin; bytes wait in memory and it is tried "
             "again",
             {{"why", opened.error().text()}});
  }
  opening_failed_at_ = now;
  const std::lock_guard lock(mutex_);
  facts_.state = RecordingState::kOpening;
  facts_.why = opened.error().text();
}

// The archive repeats what a start found until a segment follows. So what was
// lost is in the logbook before the first one: then it is there for good, even
// if the next crash is a moment away.
void Recording::begin() {
  log_.log(LogLevel::kInfo,
           "recording begins",
           {{"stream", recorder_->stream()},
            {"durable_offset", recorder_->durable_offset()}});
  if (told_lost_ && !chronicle_.wait_written(kLogbookPatience)) {
    log_.log(LogLevel::kWarning,
             "the logbook cannot be written; recording begins all the same");
  }
}

void Recording::write(const std::vector<ReceivedBytes>& items) {
  const RecordingLimits limits = this->limits();
  recorder_->set_commit_after(limits.commit_after);
  recorder_->set_level(limits.compression);
  for (const ReceivedBytes& item : items) {
    recorder_->append(*item.bytes, item.received);
  }
  tell_dropped_before();
  tag_epochs();
  recorder_->tick(clocks_.wall());
}

// Export and planning find hours by these, without reading them.
void Recording::tag_epochs() {
  const auto last = options_.last_epoch();
  if (!last || last == tagged_ || recorder_->status().open_segment.empty()) {
    return;
  }
  tagged_ = last;
  epochs_ = epochs_ ? EpochSpan{std::min(epochs_->first, *last),
                                std::max(epochs_->last, *last)}
                    : EpochSpan{*last, *last};
  for (const auto& [key, time] : {std::pair(kFirstEpochTag, epochs_->first),
                                  std::pair(kLastEpochTag, epochs_->last)}) {
    if (const Status set = recorder_->set_tag(key, std::to_string(time.ns()));
        !set) {
      log_.log(LogLevel::kDebug,
               "a segment cannot be tagged",
               {{"why", set.error().text()}});
    }
  }
}

// Bytes that never reached the recorder have no offset: only how many there
// were and when is known.
void Recording::tell_dropped_before() {
  std::optional<Dropped> dropped;
  {
    const std::lock_guard lock(mutex_);
    dropped = std::exchange(dropped_, {});
  }
  if (!dropped) {
    return;
  }
  log_.log(LogLevel::kError,
           "received bytes were lost before they reached the disk",
           {{"bytes", dropped->bytes},
            {"from", format_utc(dropped->first)},
            {"to", format_utc(dropped->last)}});
  chronicle_.tell(LogKind::kGap,
                  "bytes were lost because the disk was too slow",
                  {{"cause", "the disk was too slow"},
                   {"bytes_count", as_signed(dropped->bytes)},
                   {"from_gpst_ns", dropped->first.ns()},
                   {"end_gpst_ns", dropped->last.ns()}});
}

void Recording::tell_lost(const archive::Gap& gap) {
  const std::string why = reason_text(gap.reason);
  log_.log(LogLevel::kWarning,
           "the record has a gap",
           {{"why", why},
            {"first_byte", gap.from},
            {"end_byte", gap.to},
            {"from", format_utc(gap.last_before)},
            {"to", format_utc(gap.first_after)}});
  std::vector<LogDetail> details = {{"first_byte", as_signed(gap.from)},
                                    {"end_byte", as_signed(gap.to)},
                                    {"from_gpst_ns", gap.last_before.ns()},
                                    {"end_gpst_ns", gap.first_after.ns()},
                                    {"cause", why}};
  chronicle_.tell(gap.from == gap.to ? LogKind::kGap : LogKind::kBytesLost,
                  gap.from == gap.to
                      ? "what was received in between is not recorded: " + why
                      : "recorded bytes are missing: " + why,
                  std::move(details));
}

void Recording::on_event(const ArchiveEvent& event) {
  const std::string why = event.error ? event.error->error().text() : "";
  switch (event.kind) {
    case ArchiveEventKind::kLost:
    case ArchiveEventKind::kDropped:
      if (event.range) {
        tell_lost(*event.range);
        told_lost_ = true;
      }
      break;
    case ArchiveEventKind::kBegun:
      listed_at_.reset();
      epochs_.reset();
      tagged_.reset();
      log_.log(LogLevel::kInfo, "segment begun", {{"path", event.path}});
      break;
    case ArchiveEventKind::kClosed: {
      log_.log(LogLevel::kInfo, "segment closed", {{"path", event.path}});
      const std::lock_guard lock(mutex_);
      ++facts_.segments_closed;
      break;
    }
    case ArchiveEventKind::kGivenUp: {
      log_.log(LogLevel::kError,
               "a segment was given up; its bytes are written again",
               {{"path", event.path}, {"why", why}});
      chronicle_.tell(LogKind::kSegmentGivenUp,
                      "a segment was given up; what was not yet safe of it is "
                      "written again: " +
                          why,
                      {{"path", event.path}});
      const std::lock_guard lock(mutex_);
      ++facts_.segments_given_up;
      break;
    }
    case ArchiveEventKind::kCannotWrite:
      log_.log(LogLevel::kError,
               "the disk takes no bytes; they wait in memory",
               {{"why", why}});
      break;
    case ArchiveEventKind::kDropping:
      log_.log(LogLevel::kError,
               "memory is full while the disk takes no bytes: the oldest "
               "received bytes are lost from here on");
      break;
    case ArchiveEventKind::kNotTidied:
      log_.log(LogLevel::kWarning,
               "a segment could not be tidied; nothing is lost",
               {{"path", event.path}, {"why", why}});
      break;
  }
}

// Old hours go where the owner said so, or where the disk gets full. By age
// only while the clock is known to be right. After years a list of all hours is
// long: it is made for each new segment, once an hour without one, and while
// the disk lacks room.
void Recording::tidy() {
  const auto now = clocks_.steady();
  if (now - tidied_at_ < options_.tidy_every) {
    return;
  }
  tidied_at_ = now;
  const RecordingLimits limits = this->limits();
  const auto free_bytes = options_.free_bytes();
  {
    const std::lock_guard lock(mutex_);
    facts_.disk_free_bytes = free_bytes;
  }
  const bool lacks_room = free_bytes && *free_bytes < limits.leave_free_bytes;
  if (listed_at_ && now - *listed_at_ < kListEvery && !lacks_room) {
    return;
  }
  auto stored = archive::stored_segments(files_, options_.root);
  if (!stored) {
    log_.log(LogLevel::kWarning,
             "recorded hours cannot be listed",
             {{"why", stored.error().text()}});
    return;
  }
  listed_at_ = now;
  {
    const std::lock_guard lock(mutex_);
    facts_.segments = stored->size();
  }
  std::uint64_t all_bytes = 0;
  for (const archive::StoredSegment& segment : *stored) {
    all_bytes += segment.size;
  }
  archive::RetentionRule rule{limits.keep_bytes, {}};
  if (options_.clock_proved()) {
    rule.most_age = limits.keep_age;
  }
  if (lacks_room) {
    const std::uint64_t lacking = limits.leave_free_bytes - *free_bytes;
    // At least one byte may stay: 0 would mean no limit.
    const std::uint64_t may_stay =
        all_bytes > lacking ? all_bytes - lacking : 1;
    rule.most_bytes =
        rule.most_bytes == 0 ? may_stay : std::min(rule.most_bytes, may_stay);
  }
  if (stored->empty()) {
    return;
  }
  const archive::SegmentName newest =
      std::max_element(
          stored->begin(),
          stored->end(),
          [](const auto& a, const auto& b) { return a.name < b.name; })
          ->name;
  const auto written =
      archive::parse_segment_path(recorder_->status().open_segment);
  const auto names = archive::to_remove(
      std::move(*stored), rule, clocks_.wall(), written.value_or(newest));
  if (names.empty()) {
    return;
  }
  const auto removed = archive::remove_segments(files_, options_.root, names);
  log_.log(removed ? LogLevel::kInfo : LogLevel::kWarning,
           "the oldest recorded hours were deleted",
           {{"count", names.size()},
            {"first", names.front().path()},
            {"last", names.back().path()},
            {"why", removed ? "" : removed.error().text()}});
}

void Recording::publish() {
  const archive::RecorderStatus status = recorder_->status();
  const std::lock_guard lock(mutex_);
  const bool moved = facts_.durable_offset != recorder_->durable_offset();
  facts_.state =
      status.works ? RecordingState::kRecording : RecordingState::kCannotWrite;
  facts_.why = status.works || !status.last_error
                   ? ""
                   : status.last_error->error().text();
  facts_.stream = recorder_->stream();
  facts_.durable_offset = recorder_->durable_offset();
  facts_.end_offset = recorder_->end_offset();
  facts_.queued_bytes = status.pending_bytes;
  facts_.dropped_bytes = recorder_->dropped_bytes();
  if (moved) {
    facts_.committed_at = clocks_.steady();
  }
  facts_.open_segment = status.open_segment;
  facts_.open_epochs = epochs_;
}

}  // namespace stillpoint::station

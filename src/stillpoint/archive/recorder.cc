#include "stillpoint/archive/recorder.h"

#include <algorithm>
#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/latest_note.h"
#include "stillpoint/archive/seal.h"
#include "stillpoint/archive/segment_place.h"
#include "stillpoint/core/check.h"

namespace stillpoint::archive {
namespace {

constexpr std::size_t kMostChunk = 16384;  // what is dropped at once
constexpr std::size_t kWriteNow = std::size_t{256} * 1024;

}  // namespace

Recorder::Recorder(FileSystem& files,
                   RecorderOptions options,
                   ArchiveEvents events)
    : files_(files), options_(std::move(options)), events_(std::move(events)) {
  STILLPOINT_CHECK(options_.new_stream != 0);
}

Result<std::unique_ptr<Recorder>> Recorder::open(FileSystem& files,
                                                 RecorderOptions options,
                                                 GnssTime now,
                                                 ArchiveEvents events) {
  std::unique_ptr<Recorder> recorder(
      new Recorder(files, std::move(options), std::move(events)));
  const auto recovered =
      recover(files, recorder->options_.root, now, recorder->options_.level);
  if (!recovered) {
    return fail(recovered.error().error());
  }
  recorder->durable_time_ = now;
  recorder->take_over(*recovered, now);
  return recorder;
}

void Recorder::take_over(const Recovered& recovered, GnssTime now) {
  stream_ = recovered.found ? recovered.stream : options_.new_stream;
  durable_ = written_ = end_ = recovered.end_offset;
  previous_ = recovered.previous;
  for (const Gap& gap : recovered.lost) {
    say(ArchiveEventKind::kLost, previous_.path, gap);
  }
  const auto& known = options_.acknowledged;
  if (known && known->stream == stream_ && known->offset > end_) {
    // The newest segment was cut between two pieces: it cannot say so itself.
    say(ArchiveEventKind::kLost,
        previous_.path,
        Gap{end_,
            known->offset,
            std::min(previous_.last_time, now),
            now,
            GapReason::kMissing});
    durable_ = written_ = end_ = known->offset;
  }
}

RecorderStatus Recorder::status() const {
  RecorderStatus status;
  if (segment_) {
    status.open_segment = segment_->name.path();
  }
  status.pending_bytes = pending_.bytes();
  status.last_commit = last_commit_;
  status.last_error = last_error_;
  status.last_error_time = last_error_time_;
  status.works = !failed_at_;
  return status;
}

void Recorder::say(ArchiveEventKind kind,
                   std::string where,
                   std::optional<Gap> range,
                   std::optional<FileError> error) const {
  if (events_) {
    events_({kind, std::move(where), range, std::move(error)});
  }
}

Status Recorder::set_tag(const std::string& key, const std::string& value) {
  Tags tags = tags_;
  tags[key] = value;
  if (noted_size(tags, counts_) > kMostTagBytes) {
    return fail(ErrorCode::kTooLarge, "the tags do not fit a closing", key);
  }
  tags_ = std::move(tags);
  return ok();
}

Status Recorder::add_count(const std::string& key, std::uint64_t more) {
  const auto known = counts_.find(key);
  if (known != counts_.end()) {
    known->second += more;
    return ok();
  }
  Counts counts = counts_;
  counts[key] = more;
  if (noted_size(tags_, counts) > kMostTagBytes) {
    return fail(ErrorCode::kTooLarge, "the counts do not fit a closing", key);
  }
  counts_ = std::move(counts);
  return ok();
}

void Recorder::append(ByteSpan bytes, GnssTime received) {
  while (!bytes.empty()) {
    const ByteSpan part = bytes.first(std::min(bytes.size(), kMostChunk));
    pending_.push({end_, received, {part.begin(), part.end()}});
    end_ += part.size();
    bytes = bytes.subspan(part.size());
    if (pending_.bytes() > options_.most_pending) {
      drop_oldest(received);
    }
  }
  tick(received);
}

void Recorder::tick(GnssTime now) {
  if (pending_.empty()) {
    if (segment_ && utc_hour(now) != segment_->name.hour && may_try(now)) {
      const auto closed = close_segment();
      if (!closed) {
        give_up(closed.error(), now);
      }
    }
    return;
  }
  // A clock that was set back makes everything due.
  const Duration age = now - pending_.oldest().time;
  const bool due = age >= options_.commit_after || age < Duration{0} ||
                   pending_.bytes() >= kWriteNow;
  if (due && may_try(now)) {
    commit(now, age < Duration{0} ? Extent::kAll : Extent::kWholePages);
  }
}

Status Recorder::close(GnssTime now) {
  // Once more where a failure is told only now: what it took is still here.
  for (int i = 0; i < 2 && (segment_ || !pending_.empty()); ++i) {
    if (!commit(now, Extent::kAll) || !segment_) {
      continue;
    }
    const auto closed = close_segment();
    if (!closed) {
      give_up(closed.error(), now);
    }
  }
  if (segment_ || !pending_.empty()) {
    return fail(last_error_.value_or(FileError{}).error());
  }
  return ok();
}

bool Recorder::may_try(GnssTime now) const {
  return !failed_at_ || now < *failed_at_ ||
         now - *failed_at_ >= options_.retry_after;
}

// Before giving bytes away the card is asked once more, where it is time.
void Recorder::drop_oldest(GnssTime now) {
  if (may_try(now)) {
    commit(now, Extent::kAll);
  }
  while (pending_.bytes() > options_.most_pending) {
    const Chunk& oldest = pending_.oldest();
    const bool lost = oldest.offset >= durable_;  // else it is a second copy
    if (lost && !dropping_) {
      say(ArchiveEventKind::kDropping,
          {},
          Gap{oldest.offset,
              oldest.end(),
              durable_time_,
              oldest.time,
              GapReason::kDropped});
    }
    dropping_ = dropping_ || lost;
    dropped_ += lost ? oldest.bytes.size() : 0;
    pending_.pop();
  }
}

bool Recorder::commit(GnssTime now, Extent extent) {
  failed_at_.reset();
  const std::uint64_t before = durable_;
  bool enough = false;
  while (const Chunk* next = enough ? nullptr : pending_.from(written_)) {
    const UtcHour hour = utc_hour(next->time);
    FileStatus done = std::monostate{};
    if (segment_ && segment_->name.hour != hour) {
      done = close_segment();
    }
    if (done && !segment_) {
      done = begin_segment(hour, next->time);
    }
    if (done) {
      done = write_run(now, extent);
    }
    if (!done) {
      give_up(done.error(), now);
      return false;
    }
    const Chunk* left = pending_.from(written_);
    enough = left != nullptr && utc_hour(left->time) == hour;
  }
  if (segment_) {
    const auto synced = sync_segment();
    if (!synced) {
      give_up(synced.error(), now);
      return false;
    }
  }
  if (durable_ > before) {
    last_commit_ = now;
  }
  return true;
}

FileStatus Recorder::write_run(GnssTime now, Extent extent) {
  const PendingBytes::Run found = pending_.run(written_, segment_->name.hour);
  ReceivedRun run = found.received;
  SegmentWriter& writer = *segment_->writer;
  if (extent == Extent::kWholePages && found.to_the_end) {
    const std::uint64_t start = writer.end_offset();
    writer.whole_pages(run);
    run = without_first(run,
                        static_cast<std::size_t>(writer.end_offset() - start));
    // The rest of a page waits for more, unless it would soon be due itself:
    // so there are at most two commits in the time of one.
    if (!run.empty() &&
        (now - run.front().time).s < 0.5 * options_.commit_after.s) {
      run.clear();
    }
  }
  writer.bytes(run);
  written_ = writer.end_offset();
  unsynced_ = true;
  return append_all(*segment_->file, writer.take());
}

FileStatus Recorder::begin_segment(const UtcHour& hour, GnssTime time) {
  auto done =
      make_day_folders(files_, options_.root, SegmentName{hour, 0}.folder());
  if (!done) {
    return done;
  }
  const auto name = free_name(files_, options_.root, hour);
  if (!name) {
    return tl::unexpected<FileError>(name.error());
  }
  auto file = uninterrupted([&] { return files_.create(path(*name)); });
  if (!file) {
    return tl::unexpected<FileError>(file.error());
  }
  Segment segment;
  segment.name = *name;
  segment.file = std::move(*file);
  const Chunk* next = pending_.from(written_);
  const std::uint64_t there = next != nullptr ? next->offset : durable_;
  segment.first = std::min(durable_, there);
  segment.writer = std::make_unique<SegmentWriter>(
      Opening{stream_, segment.first, time, previous_}, options_.level);
  if (there > durable_) {
    segment.gap =
        Gap{durable_, there, durable_time_, next->time, GapReason::kDropped};
    segment.writer->gap(*segment.gap);
  }
  segment_ = std::move(segment);
  return std::monostate{};
}

// Data first, then every name that leads to them, then the announcement.
FileStatus Recorder::sync_segment() {
  if (!unsynced_) {
    return std::monostate{};
  }
  auto done = segment_->file->fdatasync();
  if (done && !segment_->named) {
    done = files_.fsync_directory(folder_of(path(segment_->name)));
    if (done) {
      done = write_latest(
          files_, options_.root, {segment_->name, stream_, segment_->first});
    }
    if (done) {
      segment_->named = true;
      say(ArchiveEventKind::kBegun, segment_->name.path());
    }
  }
  if (!done) {
    return done;
  }
  if (segment_->gap) {
    say(ArchiveEventKind::kDropped, segment_->name.path(), segment_->gap);
    segment_->gap.reset();
    dropping_ = false;
  }
  unsynced_ = false;
  durable_ = std::max(durable_, written_);
  durable_time_ = pending_.keep_before(written_, durable_time_);
  return std::monostate{};
}

FileStatus Recorder::close_segment() {
  auto done = sync_segment();
  if (!done) {
    return done;
  }
  const Digest digest = segment_->writer->close(tags_, counts_, false);
  done = append_all(*segment_->file, segment_->writer->take());
  if (done) {
    done = segment_->file->fdatasync();
  }
  if (!done) {
    return done;
  }
  previous_ = {PreviousEnd::kClosed,
               segment_->name.path(),
               segment_->first,
               segment_->writer->last_time(),
               digest};
  say(ArchiveEventKind::kClosed, segment_->name.path());
  pending_.forget_kept();
  segment_.reset();
  tags_.clear();
  counts_.clear();
  tidy();
  return std::monostate{};
}

void Recorder::give_up(const FileError& error, GnssTime now) {
  failed_at_ = last_error_time_ = now;
  last_error_ = error;
  pending_.take_kept_again();
  written_ = pending_.empty() ? durable_
                              : std::min(durable_, pending_.oldest().offset);
  unsynced_ = false;
  if (!segment_) {
    say(ArchiveEventKind::kCannotWrite, {}, {}, error);
    return;
  }
  const Segment segment = std::move(*segment_);
  segment_.reset();
  say(ArchiveEventKind::kGivenUp, segment.name.path(), {}, error);
  if (!segment.named) {
    // Nothing was acknowledged in it; gives the space back if that works.
    static_cast<void>(remove_if_there(files_, path(segment.name)));
    return;
  }
  previous_ = {PreviousEnd::kGivenUp,
               segment.name.path(),
               segment.first,
               durable_time_,
               {}};
  to_seal_.push_back(segment.name);
}

// What may wait and can be done again.
void Recorder::tidy() {
  std::vector<SegmentName> failed;
  for (const SegmentName& name : std::exchange(to_seal_, {})) {
    const auto sealed =
        seal_segment(files_, options_.root, name, options_.level);
    if (!sealed) {
      say(ArchiveEventKind::kNotTidied, name.path(), {}, sealed.error());
      failed.push_back(name);
    }
  }
  to_seal_ = std::move(failed);
}

}  // namespace stillpoint::archive

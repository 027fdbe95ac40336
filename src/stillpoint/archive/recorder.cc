#include "stillpoint/archive/recorder.h"

#include <algorithm>
#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/latest_note.h"
#include "stillpoint/archive/seal.h"
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
  const auto recovered = recover(files, recorder->options_.root, now);
  if (!recovered) {
    return fail(recovered.error().error());
  }
  recorder->durable_time_ = now;
  recorder->take_over(*recovered);
  return recorder;
}

void Recorder::take_over(const Recovered& recovered) {
  stream_ = recovered.found ? recovered.stream : options_.new_stream;
  durable_ = written_ = end_ = recovered.end_offset;
  previous_ = recovered.previous;
  for (const Gap& gap : recovered.lost) {
    say(ArchiveEventKind::kLost, previous_.path, gap);
  }
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
    pending_.push_back({end_, received, {part.begin(), part.end()}});
    end_ += part.size();
    pending_bytes_ += part.size();
    bytes = bytes.subspan(part.size());
    if (pending_bytes_ > options_.most_pending) {
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
  const Duration age = now - pending_.front().time;
  const bool due = age >= options_.commit_after || age < Duration{0} ||
                   pending_bytes_ >= kWriteNow;
  if (due && may_try(now)) {
    commit(now);
  }
}

Status Recorder::close(GnssTime now) {
  commit(now);
  if (segment_) {
    const auto closed = close_segment();
    if (!closed) {
      give_up(closed.error(), now);
      return fail(closed.error().error());
    }
  }
  if (durable_ != end_) {
    return fail(ErrorCode::kIo, "not everything could be written", "");
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
    commit(now);
  }
  while (pending_bytes_ > options_.most_pending) {
    const Chunk& oldest = pending_.front();
    if (!dropping_) {
      say(ArchiveEventKind::kDropping,
          {},
          Gap{oldest.offset,
              oldest.end(),
              durable_time_,
              oldest.time,
              GapReason::kDropped});
    }
    dropping_ = true;
    dropped_ += oldest.bytes.size();
    pending_bytes_ -= oldest.bytes.size();
    pending_.pop_front();
  }
}

const Recorder::Chunk* Recorder::next_unwritten() const {
  const auto next =
      std::find_if(pending_.begin(), pending_.end(), [&](const Chunk& c) {
        return c.offset >= written_;
      });
  return next == pending_.end() ? nullptr : &*next;
}

bool Recorder::commit(GnssTime now) {
  failed_at_.reset();
  while (const Chunk* next = next_unwritten()) {
    const UtcHour hour = utc_hour(next->time);
    FileStatus done = std::monostate{};
    if (segment_ && segment_->name.hour != hour) {
      done = close_segment();
    }
    if (done && !segment_) {
      done = begin_segment(hour, next->time);
    }
    if (done) {
      done = write_run();
    }
    if (!done) {
      give_up(done.error(), now);
      return false;
    }
  }
  if (segment_) {
    const auto synced = sync_segment();
    if (!synced) {
      give_up(synced.error(), now);
      return false;
    }
  }
  return true;
}

FileStatus Recorder::write_run() {
  std::vector<Received> run;
  for (const Chunk& chunk : pending_) {
    if (chunk.offset < written_) {
      continue;
    }
    if (utc_hour(chunk.time) != segment_->name.hour) {
      break;
    }
    run.push_back({chunk.time, chunk.bytes});
  }
  SegmentWriter& writer = *segment_->writer;
  writer.bytes(run);
  written_ = writer.end_offset();
  return append_all(*segment_->file, writer.take());
}

FileStatus Recorder::make_folders(const std::string& folder) {
  // Also where they are there already: their names may not have been synced.
  std::string parent = options_.root;
  const std::size_t slash = folder.find('/');
  for (const std::string& name :
       {folder.substr(0, slash), folder.substr(slash + 1)}) {
    std::string made = parent;
    made.append("/").append(name);
    auto done = uninterrupted([&] { return files_.make_directory(made); });
    if (!done && done.error().fault != FileFault::kExists) {
      return done;
    }
    done = files_.fsync_directory(parent);
    if (!done) {
      return done;
    }
    parent = made;
  }
  return std::monostate{};
}

FileResult<SegmentName> Recorder::free_name(const UtcHour& hour) {
  SegmentName name{hour, 0};
  const auto names = segments_in(files_, options_.root, name.folder());
  if (!names) {
    return tl::unexpected<FileError>(names.error());
  }
  for (const SegmentName& taken : *names) {
    if (taken.hour == hour) {
      name.number = std::max(name.number, taken.number + 1);
    }
  }
  return name;
}

FileStatus Recorder::begin_segment(const UtcHour& hour, GnssTime time) {
  auto done = make_folders(SegmentName{hour, 0}.folder());
  if (!done) {
    return done;
  }
  const auto name = free_name(hour);
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
  segment.first = durable_;
  segment.writer = std::make_unique<SegmentWriter>(
      Opening{stream_, durable_, time, previous_});
  const Chunk* next = next_unwritten();
  if (next != nullptr && next->offset > durable_) {
    segment.gap = Gap{
        durable_, next->offset, durable_time_, next->time, GapReason::kDropped};
    segment.writer->gap(*segment.gap);
  }
  segment_ = std::move(segment);
  return std::monostate{};
}

// Data first, then every name that leads to them, then the announcement.
FileStatus Recorder::sync_segment() {
  if (durable_ == written_) {
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
  durable_ = written_;
  while (!pending_.empty() && pending_.front().end() <= durable_) {
    durable_time_ = pending_.front().time;
    pending_bytes_ -= pending_.front().bytes.size();
    pending_.pop_front();
  }
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
  segment_.reset();
  tags_.clear();
  counts_.clear();
  tidy();
  return std::monostate{};
}

void Recorder::give_up(const FileError& error, GnssTime now) {
  failed_at_ = now;
  written_ = durable_;
  if (!segment_) {
    say(ArchiveEventKind::kCannotWrite, {}, {}, error);
    return;
  }
  const Segment segment = std::move(*segment_);
  segment_.reset();
  say(ArchiveEventKind::kGivenUp, segment.name.path(), {}, error);
  if (segment.first == durable_) {
    // Nothing in it was acknowledged; gives the space back if that works.
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
    const auto sealed = seal_segment(files_, options_.root, name);
    if (!sealed) {
      say(ArchiveEventKind::kNotTidied, name.path(), {}, sealed.error());
      failed.push_back(name);
    }
  }
  to_seal_ = std::move(failed);
}

}  // namespace stillpoint::archive

#include "stillpoint/intake/export/archive_pass.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace stillpoint::intake {
namespace {

constexpr double kNewStretchS = 86'400;
// An epoch of the other kind that is so much older comes no more.
constexpr double kOtherKindS = 60;
constexpr std::size_t kMostGaps = 100'000;

void add(const profile::SplitCounts& part, profile::SplitCounts& sum) {
  sum.bytes += part.bytes;
  sum.bad_checksum += part.bad_checksum;
  sum.skipped_bytes += part.skipped_bytes;
  for (std::size_t i = 0; i < part.frames.size(); ++i) {
    sum.frames[i] += part.frames[i];
  }
}

}  // namespace

ArchivePass::ArchivePass(const ExportRequest& request,
                         StretchDays days,
                         const StreamEnds* limits)
    : request_(request),
      days_(std::move(days)),
      limits_(limits),
      msm_(request.interval_s),
      legacy_(request.interval_s) {}

Status ArchivePass::run(FileSystem& files,
                        const std::string& root,
                        GnssTime from,
                        GnssTime to,
                        const ExportProgress& progress) {
  progress_ = &progress;
  const auto read = archive::read_archive(files, root, from, to, *this);
  if (!read) {
    return fail(read.error());
  }
  end_stretch();
  release_held(legacy_);
  release_held(msm_);
  progress_ = nullptr;
  return ok();
}

void ArchivePass::begin_stretch(const archive::ArchiveBytes& bytes) {
  end_stretch();
  StreamReaderOptions options;
  options.decoder.era = request_.era;
  options.decoder.day = request_.day;
  const auto day = days_.find(stretches_);
  if (day != days_.end()) {
    options.decoder.day = day->second;
  }
  options.framings = request_.framings;
  reader_.emplace(options, *this);
  stretch_first_.reset();
  now_.reset();
  msm_.since = legacy_.since = bytes.offset;
}

void ArchivePass::end_stretch() {
  if (!reader_) {
    return;
  }
  reader_->finish();
  const StreamCounts counts = reader_->counts();
  add(counts.split, counts_.split);
  counts_.malformed += counts.malformed;
  reader_.reset();
  ++stretches_;
}

ByteSpan ArchivePass::within_limits(
    const archive::ArchiveBytes& received) const {
  if (limits_ == nullptr) {
    return received.bytes;
  }
  const auto end = limits_->find(received.stream);
  if (end == limits_->end() || received.offset >= end->second) {
    return {};
  }
  const std::uint64_t room = end->second - received.offset;
  return received.bytes.first(static_cast<std::size_t>(
      std::min<std::uint64_t>(room, received.bytes.size())));
}

void ArchivePass::on_bytes(const archive::ArchiveBytes& received) {
  archive::ArchiveBytes bytes = received;
  bytes.bytes = within_limits(received);
  if (!goes_on() || moved_ || bytes.bytes.empty()) {
    return;
  }
  const double leap_s = (bytes.received - at_.received).s;
  if (!reader_ || bytes.stream != at_.stream ||
      std::abs(leap_s) > kNewStretchS) {
    begin_stretch(bytes);
  }
  at_ = bytes;
  reader_->push(bytes.bytes, bytes.received);
  ends_[bytes.stream] = bytes.offset + bytes.bytes.size();
}

void ArchivePass::on_gap(const archive::Gap& gap) {
  const Span& span = request_.span;
  const bool within = (!span.start || gap.first_after >= *span.start) &&
                      (!span.end || gap.last_before < *span.end);
  if (within && gaps_.size() < kMostGaps) {
    gaps_.push_back(gap);
  }
}

void ArchivePass::on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) {
  if (!stretch_first_) {
    stretch_first_ = epoch.time;
  }
  Lane& lane = origin.legacy ? legacy_ : msm_;
  Lane& other = origin.legacy ? msm_ : legacy_;
  const auto held = other.order.held_time();
  if (held && (epoch.time - *held).s > kOtherKindS) {
    release_held(other);
  }
  lane.room.epoch = epoch;
  lane.room.bytes = {at_.stream, lane.since, at_.offset + at_.bytes.size()};
  lane.room.received = at_.received;
  lane.since = at_.offset;
  if (lane.order.exchange(lane.room)) {
    release(lane, lane.room);
  }
}

void ArchivePass::on_week_moved(int weeks) {
  if (stretch_first_) {
    moved_ = true;
    days_[stretches_] =
        GnssTime::from_ns(stretch_first_->ns() + weeks * GnssTime::kWeekNs);
  }
}

void ArchivePass::release_held(Lane& lane) {
  if (auto held = lane.order.finish()) {
    release(lane, *held);
  }
}

void ArchivePass::release(Lane& lane, RecordedEpoch& recorded) {
  if (!goes_on() || moved_) {
    return;
  }
  const GnssTime time = recorded.epoch.time;
  ++epochs_;
  if (*progress_) {
    (*progress_)(epochs_);
  }
  now_ = time;
  first_ = std::min(first_.value_or(time), time);
  last_ = std::max(last_.value_or(time), time);
  clock_apart_s_ =
      std::max(clock_apart_s_, std::abs((recorded.received - time).s));
  if (lane.decimator.take(recorded.epoch) && request_.span.holds(time)) {
    take(period_of(time, request_.length, request_.span),
         recorded,
         &lane == &legacy_);
  }
}

}  // namespace stillpoint::intake

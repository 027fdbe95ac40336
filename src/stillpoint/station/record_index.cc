#include "stillpoint/station/record_index.h"

#include <charconv>

#include "stillpoint/archive/block_source.h"
#include "stillpoint/archive/retention.h"
#include "stillpoint/archive/segment_scan.h"

namespace stillpoint::station {
namespace {

std::optional<GnssTime> tagged_time(const archive::Tags& tags,
                                    const char* key) {
  const auto tag = tags.find(key);
  std::int64_t ns = 0;
  if (tag == tags.end()) {
    return std::nullopt;
  }
  const char* end = tag->second.data() + tag->second.size();
  return std::from_chars(tag->second.data(), end, ns).ptr == end
             ? std::optional(GnssTime::from_ns(ns))
             : std::nullopt;
}

}  // namespace

RecordedSegment RecordIndex::read(const archive::SegmentName& name,
                                  std::uint64_t size) const {
  RecordedSegment row;
  row.name = name;
  row.disk_bytes = size;
  row.open = true;
  auto blocks = archive::open_blocks(files_, root_ + "/" + name.path());
  if (!blocks) {
    return row;
  }
  const archive::SegmentFacts facts = archive::read_facts(**blocks);
  if (facts.start) {
    row.received_from = facts.start->time;
  }
  if (facts.closing) {
    const archive::Closing& closing = *facts.closing;
    row.open = false;
    row.bytes = closing.end_offset - closing.first_offset;
    row.received_from = closing.first_time;
    row.received_to = closing.last_time;
    const auto first = tagged_time(closing.tags, kFirstEpochTag);
    const auto last = tagged_time(closing.tags, kLastEpochTag);
    if (first && last) {
      row.epochs = EpochSpan{*first, *last};
    }
  }
  return row;
}

Result<std::vector<RecordedSegment>> RecordIndex::list(
    const RecordingFacts& recording) {
  auto stored = archive::stored_segments(files_, root_);
  if (!stored) {
    return fail(std::move(stored.error()));
  }
  std::map<archive::SegmentName, RecordedSegment> now;
  for (const archive::StoredSegment& segment : *stored) {
    const auto known = known_.find(segment.name);
    const bool same = known != known_.end() && !known->second.open &&
                      known->second.disk_bytes == segment.size;
    RecordedSegment row =
        same ? known->second : read(segment.name, segment.size);
    if (segment.name.path() == recording.open_segment) {
      row.open = true;
      row.epochs = recording.open_epochs;
    }
    now.emplace(segment.name, row);
  }
  known_ = std::move(now);
  std::vector<RecordedSegment> rows;
  rows.reserve(known_.size());
  for (const auto& [name, row] : known_) {
    rows.push_back(row);
  }
  return rows;
}

}  // namespace stillpoint::station

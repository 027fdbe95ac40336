#include "stillpoint/archive/archive_reader.h"

#include <algorithm>
#include <optional>
#include <set>
#include <tuple>
#include <utility>
#include <vector>

#include "stillpoint/archive/segment_name.h"
#include "stillpoint/archive/segment_scan.h"

namespace stillpoint::archive {
namespace {

// What must be known of a segment before its place in the stream is.
struct Row {
  SegmentName name;
  bool beyond = false;  // the first segment after the times asked for
  std::uint64_t stream = 0, first = 0;
  GnssTime time;
  std::optional<std::uint64_t> end;  // from its closing
  PreviousEnd previous_end = PreviousEnd::kNone;
  std::optional<SegmentName> previous;
  std::uint64_t previous_first = 0;
  GnssTime previous_last;
};

Row make_row(FileSystem& files, const std::string& root, SegmentName name) {
  Row row;
  row.name = name;
  const auto blocks = open_blocks(files, root + "/" + name.path());
  const SegmentFacts facts = blocks ? read_facts(**blocks) : SegmentFacts{};
  if (!facts.start) {
    return row;  // stream 0: nothing is known
  }
  row.stream = facts.start->stream;
  row.first = facts.start->offset;
  row.time = facts.start->time;
  if (facts.closing) {
    row.first = std::min(row.first, facts.closing->first_offset);
    row.end = facts.closing->end_offset;
  }
  if (facts.opening) {
    const PreviousSegment& previous = facts.opening->previous;
    row.previous_end = previous.end;
    row.previous = parse_segment_path(previous.path);
    row.previous_first = previous.first_offset;
    row.previous_last = previous.last_time;
  }
  return row;
}

class Merge final : public ScanSink {
 public:
  Merge(GnssTime from, GnssTime to, ArchiveSink& sink)
      : from_(from), to_(to), sink_(sink) {}

  // A segment begins; what it says about the one before, and what is missing
  // up to it.
  void begin(const Row& row, bool previous_there, bool from_front);
  // A later copy of the bytes from here on, if there is one.
  void set_next(std::optional<std::uint64_t> next) { next_ = next; }
  void lost_file() { damaged_ = true; }
  void finish(const Row& row, const ScanEnd& end);

  bool on_bytes(std::uint64_t offset,
                std::span<const Received> received) override;
  bool on_gap(const Gap& gap) override;
  void on_damage() override { damaged_ = true; }

  [[nodiscard]] std::uint64_t cursor() const { return cursor_.value_or(0); }

 private:
  // Up to `offset`, which is there again; false where the next segment may
  // know more.
  bool reach(std::uint64_t offset, GnssTime time);
  void report(const Gap& gap);
  void deliver(std::uint64_t offset, const Received& received);

  GnssTime from_, to_;
  ArchiveSink& sink_;
  std::uint64_t stream_ = 0;
  std::optional<std::uint64_t> cursor_, next_;
  GnssTime last_;
  bool damaged_ = false;
};

void Merge::report(const Gap& gap) {
  if (gap.first_after >= from_ && gap.last_before < to_) {
    sink_.on_gap(gap);
  }
}

bool Merge::reach(std::uint64_t offset, GnssTime time) {
  const std::uint64_t at = cursor_.value_or(offset);
  if (offset > at && next_ && *next_ <= at) {
    return false;
  }
  if (offset > at || damaged_) {
    report({at,
            std::max(at, offset),
            std::min(last_, time),
            std::max(last_, time),
            damaged_ ? GapReason::kDamaged : GapReason::kMissing});
  }
  damaged_ = false;
  cursor_ = std::max(at, offset);
  return true;
}

void Merge::begin(const Row& row, bool previous_there, bool from_front) {
  if (row.stream != stream_ || !cursor_) {
    stream_ = row.stream;
    last_ = row.time;
    damaged_ = false;
    cursor_.reset();
    if (from_front) {
      cursor_ = row.first;
    }
    if (row.previous_end != PreviousEnd::kNone && !previous_there &&
        row.previous_last >= from_ && row.previous_first < row.first) {
      report({row.previous_first,
              row.first,
              std::min(row.previous_last, row.time),
              row.time,
              GapReason::kMissing});
    }
  }
  next_.reset();
  if (cursor_ && row.first >= *cursor_) {
    reach(row.first, row.time);
  }
  if (row.previous_end == PreviousEnd::kUnclean) {
    report({row.first,
            row.first,
            std::min(row.previous_last, row.time),
            std::max(row.previous_last, row.time),
            GapReason::kInterrupted});
  }
}

void Merge::finish(const Row& row, const ScanEnd& end) {
  next_.reset();
  damaged_ = damaged_ || (end.torn && row.end);
  if (!end.stopped && row.end && cursor_ && *row.end > *cursor_) {
    reach(*row.end, last_);
  } else if (damaged_ && !end.stopped) {
    reach(cursor(), last_);
  }
}

void Merge::deliver(std::uint64_t offset, const Received& received) {
  const std::uint64_t end = offset + received.bytes.size();
  if (!cursor_ || end <= *cursor_) {
    return;
  }
  const auto skip = static_cast<std::size_t>(*cursor_ - offset);
  last_ = received.time;
  cursor_ = end;
  if (received.time >= from_ && received.time < to_) {
    sink_.on_bytes(
        {stream_, offset + skip, received.time, received.bytes.subspan(skip)});
  }
}

bool Merge::on_bytes(std::uint64_t offset, std::span<const Received> received) {
  if (received.empty()) {
    return true;
  }
  if ((!cursor_ || offset >= *cursor_) &&
      !reach(offset, received.front().time)) {
    return false;
  }
  for (const Received& r : received) {
    deliver(offset, r);
    offset += r.bytes.size();
  }
  return true;
}

bool Merge::on_gap(const Gap& gap) {
  if (cursor_ && gap.to <= *cursor_) {
    return true;
  }
  if ((!cursor_ || gap.from > *cursor_) && !reach(gap.from, gap.last_before)) {
    return false;
  }
  if (next_ && *next_ <= cursor()) {
    return false;
  }
  Gap rest = gap;
  rest.from = std::max(gap.from, cursor());
  report(rest);
  cursor_ = gap.to;
  last_ = gap.first_after;
  return true;
}

FileResult<std::vector<Row>> find_rows(FileSystem& files,
                                       const std::string& root,
                                       GnssTime from,
                                       GnssTime to) {
  const UtcHour first = utc_hour(from);
  const UtcHour last = utc_hour(GnssTime::from_ns(to.ns() - 1));
  const auto folders = day_folders(files, root, first, kLastHour);
  if (!folders) {
    return tl::unexpected<FileError>(folders.error());
  }
  std::vector<Row> rows;
  bool beyond = false;
  for (const std::string& folder : *folders) {
    auto names = segments_in(files, root, folder);
    if (!names) {
      return tl::unexpected<FileError>(names.error());
    }
    for (const SegmentName& name : *names) {
      if (name.hour < first || beyond) {
        continue;
      }
      beyond = name.hour > last;
      rows.push_back(make_row(files, root, name));
      rows.back().beyond = beyond;
    }
    if (beyond) {
      break;
    }
  }
  return rows;
}

bool by_offset(const Row& a, const Row& b) {
  return std::tie(a.stream, a.first) < std::tie(b.stream, b.first);
}

class Rows {
 public:
  Rows(FileSystem& files, const std::string& root, std::vector<Row> rows)
      : files_(files), root_(root), rows_(std::move(rows)) {
    for (const Row& row : rows_) {
      (row.stream != 0 ? present_ : unknown_)
          .emplace(row.name.hour, row.name.number);
    }
    const auto unknown = std::stable_partition(
        rows_.begin(), rows_.end(), [](const Row& r) { return r.stream != 0; });
    lost_files = unknown != rows_.end();
    rows_.erase(unknown, rows_.end());
    std::stable_sort(rows_.begin(), rows_.end(), by_offset);
    add_strays();
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      rows_[i].beyond = rows_[i].beyond && !followed(i);
    }
  }

  [[nodiscard]] const std::vector<Row>& all() const { return rows_; }
  [[nodiscard]] bool followed(std::size_t i) const {
    return i + 1 < rows_.size() && rows_[i + 1].stream == rows_[i].stream;
  }
  // Its previous segment is there, in these times or outside of them.
  [[nodiscard]] bool follows_another(const Row& row) const {
    if (!row.previous) {
      return false;
    }
    const std::pair key(row.previous->hour, row.previous->number);
    return present_.contains(key) ||
           (!unknown_.contains(key) && on_disk(*row.previous));
  }
  bool lost_files = false;  // of which not even the place is known

 private:
  [[nodiscard]] bool on_disk(const SegmentName& name) const {
    return files_.size(root_ + "/" + name.path()).has_value();
  }
  // Where the clock was set back, the stream leaves the hours asked for and
  // comes again: what lies between is read too, so that it is no gap.
  void add_strays() {
    for (std::size_t i = 1; i < rows_.size();) {
      const auto& previous = rows_[i].previous;
      const bool stray =
          rows_[i - 1].stream == rows_[i].stream && previous &&
          present_.emplace(previous->hour, previous->number).second;
      if (!stray || !on_disk(*previous)) {
        ++i;
        continue;
      }
      // A copy: the row that names it moves as the list grows.
      const SegmentName name = *previous;
      rows_.push_back(make_row(files_, root_, name));
      std::stable_sort(rows_.begin(), rows_.end(), by_offset);
      i = 1;
    }
  }

  FileSystem& files_;
  const std::string& root_;
  std::vector<Row> rows_;
  std::set<std::pair<UtcHour, int>> present_, unknown_;
};

}  // namespace

Result<ArchiveEnd> read_archive(FileSystem& files,
                                const std::string& root,
                                GnssTime from,
                                GnssTime to,
                                ArchiveSink& sink) {
  auto found = find_rows(files, root, from, to);
  if (!found) {
    return fail(found.error().error());
  }
  const Rows rows(files, root, std::move(*found));
  if (rows.all().empty() && !rows.lost_files) {
    return fail(ErrorCode::kNoData, "no recording of these times", root);
  }

  Merge merge(from, to, sink);
  ArchiveEnd result;
  for (std::size_t i = 0; i < rows.all().size(); ++i) {
    const Row& row = rows.all()[i];
    const auto blocks = open_blocks(files, root + "/" + row.name.path());
    std::size_t start = 0;
    if (blocks && !row.beyond) {
      const SegmentFacts facts = read_facts(**blocks);
      if (facts.closing && !facts.closing->times_go_back) {
        start = find_block(**blocks, row.stream, from);
      }
    }
    merge.begin(row, rows.follows_another(row), start == 0);
    if (row.beyond) {
      continue;
    }
    const bool followed = rows.followed(i);
    merge.set_next(followed ? std::optional(rows.all()[i + 1].first)
                            : std::nullopt);
    if (!blocks) {
      merge.lost_file();
      continue;
    }
    const ScanEnd end = scan_segment(**blocks, start, row.stream, merge);
    // The next one says that this one had a closing.
    if (followed && !end.closed && !end.stopped &&
        rows.all()[i + 1].previous_end == PreviousEnd::kClosed &&
        rows.all()[i + 1].previous == row.name) {
      merge.lost_file();
    }
    if (!followed) {
      merge.finish(row, end);
      result.open = !end.closed && !end.stopped && !row.end;
    }
  }
  if (rows.lost_files) {
    const std::uint64_t at = merge.cursor();
    sink.on_gap({at, at, from, to, GapReason::kDamaged});
  }
  result.offset = merge.cursor();
  return result;
}

}  // namespace stillpoint::archive

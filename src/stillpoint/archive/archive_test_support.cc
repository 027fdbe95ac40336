#include "stillpoint/archive/archive_test_support.h"

#include <algorithm>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::archive {

namespace {

class Collect final : public ArchiveSink {
 public:
  void on_bytes(const ArchiveBytes& b) override {
    all.parts.push_back(
        {b.offset, b.received, {b.bytes.begin(), b.bytes.end()}});
  }
  void on_gap(const Gap& gap) override { all.gaps.push_back(gap); }
  Collected all;
};

}  // namespace

GnssTime utc(
    int year, int month, int day, int hour, int minute, double second) {
  return *from_calendar({year, month, day, hour, minute, second},
                        TimeScale::kUtc);
}

GnssTime half_a_minute_before_noon() {
  return utc(2026, 11, 25, 11, 59, 30);
}

std::uint64_t Collected::byte_count() const {
  std::uint64_t count = 0;
  for (const Part& part : parts) {
    count += part.bytes.size();
  }
  return count;
}

Collected read_between(FileSystem& files, GnssTime from, GnssTime to) {
  Collect sink;
  const auto end = read_archive(files, kRoot, from, to, sink);
  sink.all.end = end.value_or(ArchiveEnd{});
  return std::move(sink.all);
}

Collected read_all(FileSystem& files) {
  return read_between(
      files, utc(1980, 1, 6, 0, 0, 0), utc(2100, 1, 1, 0, 0, 0));
}

std::vector<std::uint8_t> receiver_like(std::size_t count,
                                        std::uint64_t& state) {
  std::vector<std::uint8_t> bytes(count);
  for (std::size_t i = 0; i < count; ++i) {
    state ^= state << 13U;
    state ^= state >> 7U;
    state ^= state << 17U;
    // Numbers that change little, most of their bits noise.
    bytes[i] = static_cast<std::uint8_t>(i % 4 == 0 ? 0xD3 : state);
  }
  return bytes;
}

Station::Station(FakeFileSystem& files, GnssTime start)
    : files_(files), now_(start) {
  options.root = kRoot;
  options.new_stream = 0x4C484F4C;
  static_cast<void>(files_.make_directory(kRoot));
  static_cast<void>(files_.fsync_directory("."));
  files_.repair();
}

bool Station::open() {
  events.clear();
  auto opened = Recorder::open(files_, options, now_, [this](const auto& e) {
    events.push_back(e);
    if (e.kind == ArchiveEventKind::kDropped) {
      dropped_.push_back(*e.range);
    }
  });
  if (!opened) {
    return false;
  }
  recorder = std::move(*opened);
  forget_from(recorder->end_offset());
  return true;
}

void Station::forget_from(std::uint64_t offset) {
  for (auto sent = truth_.begin(); sent != truth_.end();) {
    auto& [at, value] = *sent;
    if (at < offset) {
      value.bytes.resize(
          std::min<std::size_t>(value.bytes.size(), offset - at));
      ++sent;
    } else {
      sent = truth_.erase(sent);
    }
  }
}

void Station::second(std::size_t bytes_now) {
  now_ = GnssTime::from_ns(now_.ns() + kSecond);
  const auto bytes = receiver_like(bytes_now, noise_);
  truth_[recorder->end_offset()] = {now_, bytes};
  recorder->append(bytes, now_);
  check_announcement();
  recorder->tick(now_);
  check_announcement();
}

Status Station::close() {
  auto closed = recorder->close(now_);
  check_announcement();
  recorder.reset();
  return closed;
}

void Station::check_announcement() {
  if (recorder->durable_offset() <= acknowledged_) {
    return;
  }
  acknowledged_ = recorder->durable_offset();
  ++announcements;
  const auto left = files_.after_worst_cut();
  const std::string found = verdict(*left);
  if (!found.empty() && announced_too_early.empty()) {
    announced_too_early = found;
  }
}

bool Station::true_bytes(const Collected::Part& part) const {
  auto sent = truth_.upper_bound(part.offset);
  if (sent == truth_.begin()) {
    return false;
  }
  --sent;
  const auto skip = static_cast<std::size_t>(part.offset - sent->first);
  const auto& bytes = sent->second.bytes;
  return part.received == sent->second.time &&
         skip + part.bytes.size() <= bytes.size() &&
         std::equal(part.bytes.begin(),
                    part.bytes.end(),
                    bytes.begin() + static_cast<std::ptrdiff_t>(skip));
}

std::string Station::verdict(FileSystem& files) const {
  const Collected all = read_all(files);
  std::map<std::uint64_t, std::pair<std::uint64_t, bool>> ranges;
  for (const auto& part : all.parts) {
    if (!true_bytes(part)) {
      return "invented at " + std::to_string(part.offset);
    }
    ranges[part.offset] = {part.offset + part.bytes.size(), true};
  }
  for (const Gap& gap : all.gaps) {
    if (gap.to > gap.from &&
        !ranges.emplace(gap.from, std::pair(gap.to, false)).second) {
      return "a gap over bytes at " + std::to_string(gap.from);
    }
  }
  std::uint64_t at = 0;
  for (const auto& item : ranges) {
    const std::uint64_t from = item.first;
    const auto to = item.second.first;
    const bool there = item.second.second;
    if (from != at) {
      return "silent gap or overlap at " + std::to_string(at);
    }
    at = to;
    const bool known =
        std::any_of(dropped_.begin(), dropped_.end(), [&](const Gap& d) {
          return d.from <= from && d.to >= to;
        });
    if (!there && from < acknowledged_ && !known) {
      return "acknowledged and lost at " + std::to_string(from);
    }
  }
  return at < acknowledged_ ? "acknowledged and cut at " + std::to_string(at)
                            : "";
}

}  // namespace stillpoint::archive

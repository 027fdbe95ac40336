#include "stillpoint/quality/minute_rows.h"

#include <algorithm>
#include <utility>

namespace stillpoint::quality {
namespace {

constexpr std::int64_t kMinuteNs = 60 * GnssTime::kNsPerS;

}  // namespace

GnssTime minute_of(GnssTime t) {
  const std::int64_t into = t.ns() % kMinuteNs;
  return GnssTime::from_ns(t.ns() - into - (into < 0 ? kMinuteNs : 0));
}

void MinuteRows::add(const std::string& name,
                     GnssTime t,
                     double value,
                     std::uint64_t times) {
  const GnssTime minute = minute_of(t);
  if (open_ != minute) {
    close();
    open_ = minute;
  }
  Sums& sums = sums_[name];
  sums.min = sums.count == 0 ? value : std::min(sums.min, value);
  sums.max = sums.count == 0 ? value : std::max(sums.max, value);
  sums.count += static_cast<std::int64_t>(times);
  sums.sum += value * static_cast<double>(times);
}

void MinuteRows::close() {
  for (const auto& [name, sums] : sums_) {
    waiting_.push_back(
        {name, *open_, sums.count, sums.sum, sums.min, sums.max});
  }
  sums_.clear();
  open_.reset();
  if (waiting_.size() > kMostWaiting) {
    const std::size_t excess = waiting_.size() - kMostWaiting;
    waiting_.erase(waiting_.begin(),
                   waiting_.begin() + static_cast<std::ptrdiff_t>(excess));
    lost_ += excess;
  }
}

std::vector<MinuteRow> MinuteRows::take(GnssTime now) {
  if (open_ && now.ns() - open_->ns() >= kMinuteNs) {
    close();
  }
  return std::exchange(waiting_, {});
}

void MinuteRows::move(int weeks) {
  const auto move = [weeks](GnssTime& t) {
    t = GnssTime::from_ns(t.ns() + weeks * GnssTime::kWeekNs);
  };
  if (open_) {
    move(*open_);
  }
  for (MinuteRow& row : waiting_) {
    move(row.minute);
  }
}

}  // namespace stillpoint::quality

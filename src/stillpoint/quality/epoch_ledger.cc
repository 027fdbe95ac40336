#include "stillpoint/quality/epoch_ledger.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::quality {
namespace {

// Epochs reach us unevenly; one step may be so much longer than the time that
// went by.
constexpr double kUnevenS = 5;
// A step of so many intervals has an epoch missing in it.
constexpr double kGap = 1.5;

std::optional<GnssTime> later(std::optional<GnssTime> t, int weeks) {
  return t ? std::optional(
                 GnssTime::from_ns(t->ns() + weeks * GnssTime::kWeekNs))
           : std::nullopt;
}

}  // namespace

std::optional<double> EpochLedger::interval_s() const {
  if (steps_ < kLeastSteps) {
    return std::nullopt;
  }
  const std::size_t count = std::min(steps_, kSteps);
  auto sorted = steps_ns_;
  const auto middle =
      sorted.begin() + static_cast<std::ptrdiff_t>((count - 1) / 2);
  std::nth_element(sorted.begin(),
                   middle,
                   sorted.begin() + static_cast<std::ptrdiff_t>(count));
  return static_cast<double>(*middle) / 1e9;
}

void EpochLedger::learn(std::int64_t step_ns) {
  steps_ns_[steps_ % kSteps] = step_ns;
  ++steps_;
}

// One late epoch is only counted; a second one that follows it says that the
// receiver's clock was set back, and the sequence goes on from there.
bool EpochLedger::goes_back(GnssTime time) {
  ++counts_.backward;
  const bool set_back = behind_ && time > *behind_;
  behind_ = time;
  return set_back;
}

bool EpochLedger::is_jump(double step_s,
                          std::optional<GnssTime> received) const {
  if (!received || !received_) {
    return step_s > kLongestBlindStepS;
  }
  return step_s > kLongestStepS ||
         step_s > (*received - *received_).s + kUnevenS;
}

EpochLedger::Entry EpochLedger::take(GnssTime time,
                                     std::optional<GnssTime> received) {
  Entry entry{.in_order = true, .missed = 0, .before = last_.value_or(time)};
  if (last_ && time == *last_) {
    ++counts_.doubled;
    return {};
  }
  if (last_ && time < *last_) {
    if (!goes_back(time)) {
      return {};
    }
  } else if (last_) {
    const double step_s = (time - *last_).s;
    const auto interval = interval_s();
    const bool gap = !interval || step_s >= kGap * *interval;
    if (gap && is_jump(step_s, received)) {
      ++counts_.jumps;
    } else {
      if (gap && interval) {
        entry.missed =
            static_cast<std::uint64_t>(std::llround(step_s / *interval)) - 1;
      }
      learn(time.ns() - last_->ns());
    }
  }
  behind_.reset();
  counts_.missed += entry.missed;
  ++counts_.received;
  last_ = time;
  received_ = received;
  return entry;
}

void EpochLedger::move(int weeks) {
  last_ = later(last_, weeks);
  behind_ = later(behind_, weeks);
}

}  // namespace stillpoint::quality

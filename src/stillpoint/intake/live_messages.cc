#include "stillpoint/intake/live_messages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"

namespace stillpoint::intake {
namespace {

// Messages without an epoch: what comes within this time is one burst.
constexpr double kBurstS = 0.5;
constexpr double kLongestPeriodS = 86'400;
constexpr double kSilentS = 3600, kSilentPeriods = 10;
// A rate needs some time to be one.
constexpr double kLeastHeardS = 5, kMinuteS = 60;

std::int64_t second_of(GnssTime t) {
  return t.ns() / GnssTime::kNsPerS - (t.ns() % GnssTime::kNsPerS < 0 ? 1 : 0);
}

std::string entry(int type, std::optional<double> period_s) {
  if (!period_s) {
    return std::to_string(type);
  }
  return *period_s < 0.95
             ? fmt::format("{}({:.2g})", type, std::max(0.01, *period_s))
             : fmt::format("{}({:.0f})", type, *period_s);
}

}  // namespace

void Period::at(GnssTime t, double least_s) {
  if (last_) {
    const double step_s = (t - *last_).s;
    if (step_s >= 0 && step_s < least_s) {
      return;
    }
    // A clock that was set tells nothing.
    if (step_s > 0 && step_s <= kLongestPeriodS) {
      steps_s_[steps_ % kSteps] = static_cast<float>(step_s);
      ++steps_;
    }
  }
  last_ = t;
}

std::optional<double> Period::median_s() const {
  const std::size_t count = std::min(steps_, kSteps);
  if (count == 0) {
    return std::nullopt;
  }
  auto sorted = steps_s_;
  const auto middle =
      sorted.begin() + static_cast<std::ptrdiff_t>((count - 1) / 2);
  std::nth_element(sorted.begin(),
                   middle,
                   sorted.begin() + static_cast<std::ptrdiff_t>(count));
  return static_cast<double>(*middle);
}

void LastMinute::add(std::int64_t second) {
  // A clock that was set back by more than the minute begins afresh.
  if (!begun_ || second - newest_ >= kSeconds || newest_ - second >= kSeconds) {
    counts_.fill(0);
    newest_ = second;
    begun_ = true;
  }
  const auto place = [](std::int64_t s) {
    return static_cast<std::size_t>((s % kSeconds + kSeconds) % kSeconds);
  };
  for (; newest_ < second; ++newest_) {
    counts_[place(newest_ + 1)] = 0;
  }
  ++counts_[place(second)];
}

std::uint64_t LastMinute::count(std::int64_t second) const {
  std::uint64_t count = 0;
  for (std::int64_t s = newest_ - kSeconds + 1; begun_ && s <= newest_; ++s) {
    if (s > second - kSeconds && s <= second) {
      count += counts_[static_cast<std::size_t>((s % kSeconds + kSeconds) %
                                                kSeconds)];
    }
  }
  return count;
}

// By receive time where there is one; a recording has only its epochs.
void LiveMessages::time(Tally& tally,
                        ByteSpan frame,
                        std::optional<GnssTime> received) {
  const auto epoch = rtcm::peek_epoch(rtcm::payload_of(frame), near_);
  if (epoch) {
    near_ = *epoch;
    any_epoch_ = true;
    tally.period.at(*epoch, 0);
  } else if (received) {
    tally.period.at(*received, kBurstS);
  } else if (any_epoch_) {
    tally.period.at(near_, kBurstS);
  }
  if (received) {
    tally.seen = received;
    tally.minute.add(second_of(*received));
  }
}

void LiveMessages::add(std::optional<int> type,
                       ByteSpan frame,
                       std::optional<GnssTime> received) {
  if (tallies_.size() >= kMostTypes && !tallies_.contains(type)) {
    return;
  }
  if (received) {
    first_ = first_ ? std::min(*first_, *received) : *received;
    last_ = received;
  }
  Tally& tally = tallies_[type];
  ++tally.count;
  tally.bytes += frame.size();
  time(tally, frame, received);
}

std::vector<LiveMessage> LiveMessages::list(std::optional<GnssTime> now) const {
  std::vector<LiveMessage> messages;
  const double heard_s =
      now && first_ ? std::min((*now - *first_).s, kMinuteS) : 0;
  for (const auto& [type, tally] : tallies_) {
    LiveMessage message{.type = type,
                        .count = tally.count,
                        .bytes = tally.bytes,
                        .decoded = type && rtcm::is_decoded_type(*type),
                        .seen = tally.seen,
                        .rate_hz = std::nullopt,
                        .period_s = tally.period.median_s()};
    if (heard_s >= kLeastHeardS) {
      message.rate_hz =
          static_cast<double>(tally.minute.count(second_of(*now))) / heard_s;
    }
    messages.push_back(message);
  }
  return messages;
}

bool LiveMessages::is_silent(const Tally& tally) const {
  const double limit_s =
      std::max(kSilentS, kSilentPeriods * tally.period.median_s().value_or(0));
  return tally.seen && (*last_ - *tally.seen).s > limit_s;
}

std::string LiveMessages::details() const {
  std::string text;
  std::size_t listed = 0;
  for (const auto& [type, tally] : tallies_) {
    if (!type || is_silent(tally) || listed == kMostListed) {
      continue;
    }
    text += text.empty() ? "" : ",";
    text += entry(*type, tally.period.median_s());
    ++listed;
  }
  return text;
}

}  // namespace stillpoint::intake

#include "stillpoint/quality/recent_strength.h"

#include <algorithm>

namespace stillpoint::quality {
namespace {

constexpr std::int64_t kStepNs = 5 * GnssTime::kNsPerS;
static_assert(GnssTime::kWeekNs % (kStepNs * 12) == 0,
              "moving by weeks keeps every step in its place");

}  // namespace

std::int64_t RecentStrength::number_of(GnssTime t) {
  return t.ns() / kStepNs - (t.ns() % kStepNs < 0 ? 1 : 0);
}

void RecentStrength::add(GnssTime t, double cn0_dbhz) {
  const std::int64_t number = number_of(t);
  const std::int64_t place = (number % kSteps + kSteps) % kSteps;
  Step& step = steps_[static_cast<std::size_t>(place)];
  if (step.number != number) {
    step = {.number = number,
            .count = 0,
            .sum_dbhz = 0,
            .min_dbhz = std::numeric_limits<double>::infinity()};
  }
  ++step.count;
  step.sum_dbhz += cn0_dbhz;
  step.min_dbhz = std::min(step.min_dbhz, cn0_dbhz);
}

std::optional<RecentStrength::Values> RecentStrength::up_to(
    GnssTime until) const {
  const std::int64_t newest = number_of(until);
  std::uint64_t count = 0;
  double sum = 0;
  double least = std::numeric_limits<double>::infinity();
  for (const Step& step : steps_) {
    if (step.count > 0 && step.number <= newest &&
        step.number > newest - kSteps) {
      count += step.count;
      sum += step.sum_dbhz;
      least = std::min(least, step.min_dbhz);
    }
  }
  return count == 0
             ? std::nullopt
             : std::optional(Values{sum / static_cast<double>(count), least});
}

void RecentStrength::move(int weeks) {
  for (Step& step : steps_) {
    if (step.count > 0) {
      step.number += weeks * (GnssTime::kWeekNs / kStepNs);
    }
  }
}

}  // namespace stillpoint::quality

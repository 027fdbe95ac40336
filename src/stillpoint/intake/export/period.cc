#include "stillpoint/intake/export/period.h"

#include <algorithm>

namespace stillpoint::intake {
namespace {

constexpr std::int64_t kHourNs = 3'600 * GnssTime::kNsPerS;
constexpr std::int64_t kDayNs = 24 * kHourNs;

}  // namespace

Period period_of(GnssTime t, PeriodLength length, const Span& asked) {
  const std::int64_t step = length == PeriodLength::kHour ? kHourNs : kDayNs;
  const std::int64_t behind = ((t.ns() % step) + step) % step;
  Period period{GnssTime::from_ns(t.ns() - behind),
                GnssTime::from_ns(t.ns() - behind + step)};
  if (asked.start) {
    period.start = std::max(period.start, *asked.start);
  }
  if (asked.end) {
    period.end = std::min(period.end, *asked.end);
  }
  return period;
}

}  // namespace stillpoint::intake

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/fetch/fetch.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch {
namespace {

std::string day_of(GnssTime t) {
  return format_gpst(t).substr(0, 10);
}

std::string about(double latency_s) {
  if (latency_s >= 2 * 86400.0) {
    return fmt::format("{:.0f} days", latency_s / 86400.0);
  }
  if (latency_s >= 3600.0) {
    const double hours = std::round(latency_s / 3600.0);
    return fmt::format("{:.0f} {}", hours, hours == 1 ? "hour" : "hours");
  }
  return fmt::format("{:.0f} minutes", latency_s / 60.0);
}

// The day, or the hour where the latency is one of hours.
std::string from_about(GnssTime expected, double latency_s) {
  if (latency_s >= 2 * 86400.0) {
    // Latencies count from midnight; the day that ends with it is meant.
    return day_of(expected - Duration{1});
  }
  const std::string reading = format_gpst(expected + Duration{3599});
  return fmt::format("{} {}:00", reading.substr(0, 10), reading.substr(11, 2));
}

Advice advice_for(const PlannedLine& planned, const FetchRequest& request) {
  const ProductLine& line = planned.line;
  const std::string first = day_of(request.first);
  // A span that ends at midnight ends with the day before.
  const std::string last =
      day_of(std::max(request.first, request.last - Duration{1}));
  Advice advice{line.kind, line.quality, planned.expected, {}};
  advice.text =
      fmt::format("{} {} of {} come about {} later (from about {})",
                  quality_name(line.quality),
                  kind_word(line.kind),
                  first == last ? first : fmt::format("{} to {}", first, last),
                  about(line.latency_s),
                  from_about(planned.expected, line.latency_s));
  return advice;
}

}  // namespace

std::vector<Advice> when_to_expect(const FetchPlan& plan,
                                   const FetchRequest& request,
                                   GnssTime now) {
  std::vector<Advice> advice;
  const auto take = [&](const PlannedLine& planned) {
    const ProductKind kind = planned.line.kind;
    if (planned.line.span_s <= 0 || planned.expected <= now ||
        std::find(request.kinds.begin(), request.kinds.end(), kind) ==
            request.kinds.end()) {
      return;
    }
    Advice one = advice_for(planned, request);
    const auto same = std::find_if(advice.begin(), advice.end(), [&](auto& a) {
      return a.kind == one.kind && a.quality == one.quality;
    });
    if (same == advice.end()) {
      advice.push_back(std::move(one));
    } else if (one.expected < same->expected) {
      *same = std::move(one);
    }
  };
  for (const PlannedGroup& group : plan.together) {
    std::for_each(group.lines.begin(), group.lines.end(), take);
  }
  std::for_each(plan.alone.begin(), plan.alone.end(), take);
  std::stable_sort(advice.begin(), advice.end(), [](auto& a, auto& b) {
    return a.expected < b.expected;
  });
  return advice;
}

}  // namespace stillpoint::fetch

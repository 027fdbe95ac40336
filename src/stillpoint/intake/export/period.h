// Spans of exported files: hours and days of GPST, cut to what was asked for.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

enum class PeriodLength : std::uint8_t { kHour, kDay };

// Half open: start is in, end is out. Nothing: no limit.
struct Span {
  std::optional<GnssTime> start, end;
  [[nodiscard]] bool holds(GnssTime t) const {
    return (!start || t >= *start) && (!end || t < *end);
  }
};

// Half open.
struct Period {
  GnssTime start, end;
  friend auto operator<=>(const Period&, const Period&) = default;
};

// The hour or day of GPST that holds `t`, which lies in the span, less what is
// outside of it. Epochs of all systems are written in GPST, so a leap second
// lengthens neither.
Period period_of(GnssTime t, PeriodLength length, const Span& asked);

}  // namespace stillpoint::intake

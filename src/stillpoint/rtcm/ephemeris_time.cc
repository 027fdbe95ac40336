#include "stillpoint/rtcm/ephemeris_time.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

constexpr double kWeekS = 604'800;
constexpr double kHalfDayS = 43'200;
constexpr int kDayS = 86'400;
constexpr int kMoscowAheadS = 10'800;
constexpr int kDaysOfFourYears = 1461;
constexpr unsigned kLastN4 = 31;

using std::chrono::days;
using std::chrono::sys_days;

constexpr sys_days kGlonassDay1{std::chrono::year{1996} / 1 / 1};

bool is_near(GnssTime t, GnssTime near, double limit_s) {
  return std::abs((t - near).s) <= limit_s;
}

// A GLONASS day begins at 21:00 UTC of the day before. A leap second ends a UTC
// day, so a time counted from the start of its own UTC day never meets one.
GnssTime instant_of(sys_days day, unsigned second_of_day) {
  int second = static_cast<int>(second_of_day) - kMoscowAheadS;
  if (second < 0) {
    second += kDayS;
    day -= days{1};
  }
  const std::chrono::year_month_day date{day};
  Calendar c;
  c.year = static_cast<int>(date.year());
  c.month = static_cast<int>(static_cast<unsigned>(date.month()));
  c.day = static_cast<int>(static_cast<unsigned>(date.day()));
  c.hour = second / 3600;
  c.minute = second / 60 % 60;
  c.second = second % 60;
  // Dates from within_range() or of 1996 .. 2120 exist.
  return from_calendar(c, TimeScale::kUtc).value_or(GnssTime{});
}

struct DayAndSecond {
  sys_days day;
  double second = 0;
};

DayAndSecond moscow_reading(GnssTime t) {
  const Calendar c = to_calendar(t, TimeScale::kUtc);
  DayAndSecond r{sys_days{std::chrono::year{c.year} / c.month / c.day},
                 c.hour * 3600.0 + c.minute * 60.0 + c.second + kMoscowAheadS};
  if (r.second >= kDayS) {
    r.second -= kDayS;
    r.day += days{1};
  }
  return r;
}

}  // namespace

GnssTime within_range(GnssTime t) {
  return std::clamp(t, GnssTime{}, GnssTime::from_gps_week(10'950, 0));
}

std::optional<GnssTime> reference_time(WeekCount count,
                                       unsigned week,
                                       double seconds,
                                       GnssTime near) {
  if (!(seconds >= 0 && seconds < kWeekS)) {
    return std::nullopt;
  }
  near = within_range(near);
  const Duration ahead{static_cast<double>(count.ahead_s)};
  const int full =
      count.week0 + resolve_week(static_cast<int>(week),
                                 count.modulus,
                                 (near + ahead).week() - count.week0);
  const GnssTime t = GnssTime::from_gps_week(full, seconds - ahead.s);
  const GnssTime next = t + Duration{kWeekS};
  const GnssTime last = t - Duration{kWeekS};
  if (seconds <= kHalfDayS && is_near(next, near, kHalfDayS)) {
    return next;
  }
  if (seconds >= kWeekS - kHalfDayS && is_near(last, near, kHalfDayS)) {
    return last;
  }
  return t;
}

std::optional<GnssTime> nearest_in_week(WeekCount count,
                                        double seconds,
                                        GnssTime near) {
  if (!(seconds >= 0 && seconds < kWeekS)) {
    return std::nullopt;
  }
  near = within_range(near);
  const GnssTime t =
      GnssTime::from_gps_week(near.week(), seconds - count.ahead_s);
  return t + Duration{kWeekS * std::round((near - t).s / kWeekS)};
}

std::optional<WeekFields> week_fields(WeekCount count, GnssTime t, int step_s) {
  const GnssTime reading = t + Duration{static_cast<double>(count.ahead_s)};
  const std::int64_t ns = reading.ns() - reading.week() * GnssTime::kWeekNs;
  const std::int64_t step_ns = step_s * GnssTime::kNsPerS;
  if (t != within_range(t) || ns % step_ns != 0) {
    return std::nullopt;
  }
  const int round = (reading.week() - count.week0) % count.modulus;
  return WeekFields{
      static_cast<std::uint16_t>(round < 0 ? round + count.modulus : round),
      static_cast<std::uint32_t>(ns / step_ns)};
}

std::optional<GnssTime> glonass_time(GlonassDay day, unsigned second_of_day) {
  if (day.n4 < 1 || day.n4 > kLastN4 || day.nt < 1 ||
      day.nt > kDaysOfFourYears) {
    return std::nullopt;
  }
  return instant_of(
      kGlonassDay1 + days{kDaysOfFourYears * (day.n4 - 1) + day.nt - 1},
      second_of_day);
}

GnssTime nearest_glonass_time(unsigned second_of_day, GnssTime near) {
  near = within_range(near);
  const sys_days day = moscow_reading(near).day;
  GnssTime best = instant_of(day, second_of_day);
  for (const int step : {-1, 1}) {
    const GnssTime other = instant_of(day + days{step}, second_of_day);
    if (std::abs((other - near).s) < std::abs((best - near).s)) {
      best = other;
    }
  }
  return best;
}

GlonassReading glonass_reading(GnssTime t) {
  const DayAndSecond r = moscow_reading(within_range(t));
  const auto since = (r.day - kGlonassDay1).count();
  GlonassReading reading;
  reading.second_of_day = r.second;
  if (since >= 0) {
    reading.day = {
        static_cast<unsigned>(since / kDaysOfFourYears) % kLastN4 + 1,
        static_cast<unsigned>(since % kDaysOfFourYears) + 1};
  }
  return reading;
}

}  // namespace stillpoint::rtcm

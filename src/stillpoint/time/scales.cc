#include "stillpoint/time/scales.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "stillpoint/core/check.h"
#include "stillpoint/time/leap_seconds.h"

namespace stillpoint {
namespace {

constexpr int kFirstYear = 1900;
constexpr int kLastYear = 2200;
constexpr double kMjdOfGpsDay0 = 44244.0;  // 1980-01-06

bool counts_leaps(TimeScale scale) {
  return scale == TimeScale::kUtc || scale == TimeScale::kGlonass;
}

// What a continuous scale reads more than GPST.
std::int64_t ahead_of_gps_s(TimeScale scale) {
  switch (scale) {
    case TimeScale::kBeidou:
      return -14;
    case TimeScale::kTai:
      return 19;
    default:
      return 0;
  }
}

// A reading as a day since 1980-01-06 and the time in it; ns_of_day reaches
// 86401 s in a UTC day with a leap second.
struct DayAndNs {
  std::int64_t day = 0;
  std::int64_t ns_of_day = 0;
};

// Works on whole days first, so that no instant overflows.
DayAndNs split(GnssTime t, std::int64_t shift_s) {
  std::int64_t day = t.ns() / kDayNs;
  std::int64_t ns = t.ns() % kDayNs + shift_s * GnssTime::kNsPerS;
  for (; ns < 0; ns += kDayNs) {
    --day;
  }
  for (; ns >= kDayNs; ns -= kDayNs) {
    ++day;
  }
  return {day, ns};
}

DayAndNs reading(GnssTime t, TimeScale scale) {
  if (!counts_leaps(scale)) {
    return split(t, ahead_of_gps_s(scale));
  }
  DayAndNs r = split(t, -gps_minus_utc_s(t));
  const std::int64_t before = leap_step_of_day(r.day).gps_minus_utc_s;
  if (before != gps_minus_utc_s(t)) {
    // The old offset carries the leap second into the next day: 23:59:60.
    --r.day;
    r.ns_of_day += kDayNs;
  }
  return r;
}

GnssTime instant(const DayAndNs& r, TimeScale scale) {
  const std::int64_t shift_s = counts_leaps(scale)
                                   ? leap_step_of_day(r.day).gps_minus_utc_s
                                   : -ahead_of_gps_s(scale);
  return GnssTime::from_ns(r.day * kDayNs + r.ns_of_day +
                           shift_s * GnssTime::kNsPerS);
}

std::chrono::year_month_day date_of(std::int64_t gps_day) {
  using std::chrono::days;
  return std::chrono::sys_days{days{gps_day}} +
         (std::chrono::sys_days{std::chrono::year{1980} / 1 / 6} -
          std::chrono::sys_days{});
}

bool date_exists(const Calendar& c) {
  if (c.year < kFirstYear || c.year > kLastYear || c.month < 1 ||
      c.month > 12 || c.day < 1 || c.day > 31) {
    return false;
  }
  return std::chrono::year_month_day{
      std::chrono::year{c.year},
      std::chrono::month{static_cast<unsigned>(c.month)},
      std::chrono::day{static_cast<unsigned>(c.day)}}
      .ok();
}

bool time_exists(const Calendar& c, TimeScale scale) {
  if (c.hour < 0 || c.hour > 23 || c.minute < 0 || c.minute > 59) {
    return false;
  }
  const bool leap = counts_leaps(scale) && c.hour == 23 && c.minute == 59 &&
                    has_leap_second(day_number(c.year, c.month, c.day));
  return c.second >= 0 && c.second < (leap ? 61.0 : 60.0);  // NaN: false
}

std::string as_written(const Calendar& c) {
  return std::to_string(c.year) + "-" + std::to_string(c.month) + "-" +
         std::to_string(c.day) + " " + std::to_string(c.hour) + ":" +
         std::to_string(c.minute) + ":" + std::to_string(c.second);
}

}  // namespace

Result<GnssTime> from_calendar(const Calendar& c, TimeScale scale) {
  if (!date_exists(c)) {
    return fail(ErrorCode::kOutOfRange,
                "the date of " + as_written(c) + " does not exist");
  }
  if (!time_exists(c, scale)) {
    return fail(ErrorCode::kOutOfRange,
                "the time of " + as_written(c) + " does not exist");
  }
  const std::int64_t minutes = c.hour * 60 + c.minute;
  const std::int64_t ns =
      minutes * 60 * GnssTime::kNsPerS + std::llround(c.second * 1e9);
  return instant({day_number(c.year, c.month, c.day), ns}, scale);
}

Calendar to_calendar(GnssTime t, TimeScale scale) {
  const DayAndNs r = reading(t, scale);
  const std::chrono::year_month_day date = date_of(r.day);
  Calendar c;
  c.year = static_cast<int>(date.year());
  c.month = static_cast<int>(static_cast<unsigned>(date.month()));
  c.day = static_cast<int>(static_cast<unsigned>(date.day()));
  // The leap second is the 61st of the day's last minute.
  const std::int64_t minute =
      std::min<std::int64_t>(r.ns_of_day / (60 * GnssTime::kNsPerS), 1439);
  c.hour = static_cast<int>(minute / 60);
  c.minute = static_cast<int>(minute % 60);
  c.second =
      static_cast<double>(r.ns_of_day - minute * 60 * GnssTime::kNsPerS) / 1e9;
  return c;
}

int gps_minus_utc_s(GnssTime t) {
  const auto steps = leap_steps();
  for (std::size_t i = steps.size(); i-- > 1;) {
    const std::int64_t start_s =
        steps[i].utc_day * kDayS + steps[i].gps_minus_utc_s;
    if (t.ns() >= start_s * GnssTime::kNsPerS) {
      return steps[i].gps_minus_utc_s;
    }
  }
  return steps.front().gps_minus_utc_s;
}

// source: IERS Bulletin C of July 2026 (no leap second at the end of December
// 2026), through the expiry line of the file `leapseconds` of the tz database
// 2026f: 2027-06-28. The next one could come at the end of that month.
GnssTime leap_table_expires() {
  return instant({day_number(2027, 6, 28), 0}, TimeScale::kUtc);
}

double to_mjd(GnssTime t, TimeScale scale) {
  const DayAndNs r = reading(t, scale);
  return kMjdOfGpsDay0 + static_cast<double>(r.day) +
         static_cast<double>(r.ns_of_day) / static_cast<double>(kDayNs);
}

GnssTime from_mjd(double mjd, TimeScale scale) {
  if (std::isnan(mjd)) {
    return {};
  }
  const double days =
      std::clamp(mjd - kMjdOfGpsDay0,
                 static_cast<double>(day_number(kFirstYear, 1, 1)),
                 static_cast<double>(day_number(kLastYear + 1, 1, 1)));
  const double day = std::floor(days);
  return instant({static_cast<std::int64_t>(day),
                  std::llround((days - day) * static_cast<double>(kDayNs))},
                 scale);
}

int day_of_year(const Calendar& c) {
  STILLPOINT_CHECK(date_exists(c));
  return static_cast<int>(day_number(c.year, c.month, c.day) -
                          day_number(c.year, 1, 1)) +
         1;
}

double decimal_year(GnssTime t) {
  const DayAndNs r = reading(t, TimeScale::kGps);
  const int year = static_cast<int>(date_of(r.day).year());
  const std::int64_t first = day_number(year, 1, 1);
  const auto length = static_cast<double>(day_number(year + 1, 1, 1) - first);
  const double days =
      static_cast<double>(r.day - first) +
      static_cast<double>(r.ns_of_day) / static_cast<double>(kDayNs);
  return year + days / length;
}

GnssTime from_decimal_year(double year) {
  if (std::isnan(year)) {
    return {};
  }
  const double limited = std::clamp(
      year, static_cast<double>(kFirstYear), static_cast<double>(kLastYear));
  const int whole = static_cast<int>(std::floor(limited));
  const std::int64_t first = day_number(whole, 1, 1);
  const auto length = static_cast<double>(day_number(whole + 1, 1, 1) - first);
  const double days = (limited - whole) * length;
  const double day = std::floor(days);
  return instant({first + static_cast<std::int64_t>(day),
                  std::llround((days - day) * static_cast<double>(kDayNs))},
                 TimeScale::kGps);
}

int resolve_week(int week_modulo, int modulus, int near_week) {
  STILLPOINT_CHECK(modulus > 0);
  std::int64_t ahead =
      (static_cast<std::int64_t>(week_modulo) - near_week) % modulus;
  if (ahead < 0) {
    ahead += modulus;
  }
  if (2 * ahead >= modulus) {
    ahead -= modulus;
  }
  return static_cast<int>(near_week + ahead);
}

}  // namespace stillpoint

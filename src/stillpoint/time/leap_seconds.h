// The table of leap seconds and the day count that the calendars share.
// Internal to the module; everybody else uses scales.h.
#pragma once

#include <cstdint>
#include <span>

namespace stillpoint {

inline constexpr std::int64_t kDayS = 86'400;
inline constexpr std::int64_t kDayNs = kDayS * 1'000'000'000;

// Days since 1980-01-06 of a proleptic Gregorian date that exists.
std::int64_t day_number(int year, int month, int day);

// From 00:00 UTC of `utc_day` on, GPST is ahead of UTC by `gps_minus_utc_s`.
// Every row but the first ends a day of 86401 s.
struct LeapStep {
  std::int64_t utc_day;  // days since 1980-01-06
  int gps_minus_utc_s;
};

// Ascending; the first row is 1980-01-01 with 0.
std::span<const LeapStep> leap_steps();

// The step that holds throughout a UTC day, its leap second included. Days
// before the table take the first row.
const LeapStep& leap_step_of_day(std::int64_t utc_day);

// Whether 23:59:60 exists on a UTC day.
bool has_leap_second(std::int64_t utc_day);

}  // namespace stillpoint

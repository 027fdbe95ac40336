// Calendars and the other time scales, for codec boundaries only: plain
// records without arithmetic; convert to GnssTime first.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// A calendar reading of a stated scale. second is [0, 61): 60.x only inside a
// UTC leap second.
struct Calendar {
  int year = 1980, month = 1, day = 6, hour = 0, minute = 0;
  double second = 0;
};

// Scales of RINEX, SP3 and the broadcast messages. Offsets are whole seconds;
// sub-second system offsets (GGTO and the like) are estimated or broadcast.
enum class TimeScale : std::uint8_t {
  kGps,      // GPST = TAI - 19 s
  kGalileo,  // GST, nominally GPST
  kBeidou,   // BDT = GPST - 14 s
  kQzss,     // nominally GPST
  kGlonass,  // as files write it: UTC (the broadcast scale is UTC(SU) + 3 h)
  kUtc,
  kTai,
};

// Gregorian calendar reading of a continuous scale (GPST, GST, BDT, TAI) or
// UTC to an instant.
//
//   c        month 1..12, day valid in its month, hour 0..23, minute 0..59,
//            second [0, 60), [0, 61) for kUtc and kGlonass;
//            year 1900..2200
//   errors   kOutOfRange for a reading that does not exist
//   source   proleptic Gregorian calendar; offsets: checks section 9
Result<GnssTime> from_calendar(const Calendar& c, TimeScale scale);

// The reverse; seconds are rounded to the nanosecond the instant holds.
Calendar to_calendar(GnssTime t, TimeScale scale);

// Whole seconds that GPST is ahead of UTC at t.
//
//   returns  the offset of the ending day inside a leap second; 0 before 1980
//   source   TAI-UTC as published in IERS Bulletin C (1980 .. 2017-01-01)
int gps_minus_utc_s(GnssTime t);

// The table of leap seconds is known to be complete up to this instant; later
// answers assume that none was added, and callers warn
// ("leap_table_expired").
GnssTime leap_table_expires();

// Modified Julian date on the scale (UTC days are taken as 86400 s, so that a
// leap second reads as the first second of the next day). A double resolves
// 0.6 us here. from_mjd limits to 1900 .. 2200; NaN gives GnssTime{}.
double to_mjd(GnssTime t, TimeScale scale);
GnssTime from_mjd(double mjd, TimeScale scale);

// Day of year, 1..366, of a calendar reading whose date exists.
int day_of_year(const Calendar& c);

// Decimal year of GPST, e.g. 2020.4809, and the reverse: the year plus the
// elapsed share of that year's own 365 or 366 days (common practice, no
// source). A double resolves 7 us. Limited to 1900 .. 2200; NaN gives
// GnssTime{}.
double decimal_year(GnssTime t);
GnssTime from_decimal_year(double year);

// Full week of `week_modulo` (a week number counted modulo `modulus`) nearest
// to `near_week`; the earlier one where two are equally near.
int resolve_week(int week_modulo, int modulus, int near_week);

inline constexpr int kBeidouWeek0 = 1356;   // GPS week of BDT week 0
inline constexpr int kGalileoWeek0 = 1024;  // GPS week of GST week 0
inline constexpr double kBdtMinusGpstS = -14.0;

// "2020-06-25T12:00:00Z" (UTC) with as many decimals as needed, at most 9.
std::string format_utc(GnssTime t);
// "2020-06-25T12:00:00" without a suffix: a GPST reading.
std::string format_gpst(GnssTime t);

// RFC 3339 "…Z" or "…+hh:mm" is UTC, a bare time or date is GPST, "2024.9" a
// decimal year. Decimals beyond the ninth are cut.
//
//   errors   kUsage with what is allowed, also for a reading that does not
//            exist
//   source   RFC 3339, section 5.6
Result<GnssTime> parse_time(std::string_view text);

}  // namespace stillpoint

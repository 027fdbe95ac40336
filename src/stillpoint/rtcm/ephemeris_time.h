// Reference times of ephemeris messages: a week number that starts again and
// steps of the week, or a day of four years and quarters of an hour. Inside
// this module only.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// How a message counts weeks. Week and seconds of the week are those of a
// scale that is `ahead_s` ahead of GPST.
struct WeekCount {
  int modulus;
  int week0;  // GPS week of number 0 in the first round
  int ahead_s;
};
// NavIC began with GPS week 1024, so that modulo 1024 both read the same.
inline constexpr WeekCount kGpsCount{1024, 0, 0};
inline constexpr WeekCount kGalileoCount{4096, 1024, 0};
inline constexpr WeekCount kBeidouCount{8192, 1356, -14};

// The instant that `seconds` of a numbered week mean: in the week of that
// number nearest to `near`.
//
// The number is the week in which the set was sent (IS-GPS-200 20.3.3.3.1.1),
// its reference time may lie in the next week or in the one before. So a
// reading within half a day of the week's edge counts to the week beyond the
// edge if that puts it within half a day of `near`.
//
//   returns  nothing for seconds outside the week
std::optional<GnssTime> reference_time(WeekCount count,
                                       unsigned week,
                                       double seconds,
                                       GnssTime near);

// The instant nearest to `near` that reads `seconds` of the week in the scale.
//
//   returns  nothing for seconds outside the week
std::optional<GnssTime> nearest_in_week(WeekCount count,
                                        double seconds,
                                        GnssTime near);

// Week number and steps of the week of an instant as a message writes them.
struct WeekFields {
  std::uint16_t week = 0;
  std::uint32_t steps = 0;
};
//   step_s   length of a step [s]
//   returns  nothing for an instant between two steps
std::optional<WeekFields> week_fields(WeekCount count, GnssTime t, int step_s);

// A day of GLONASS time (UTC + 3 h): the four years since 1996 counted from 1
// and the day in them counted from 1; 0 where it is not known.
struct GlonassDay {
  unsigned n4 = 0, nt = 0;
  friend bool operator==(GlonassDay, GlonassDay) = default;
};

// The instant of a time of a GLONASS day [s], 0 .. 86399.
//
//   returns  nothing where n4 or nt is no day (1 .. 31, 1 .. 1461)
//   source   GLONASS ICD 4.4
std::optional<GnssTime> glonass_time(GlonassDay day, unsigned second_of_day);

// The day of which `near` or its neighbour is part, chosen so that the time of
// day comes nearest to `near`.
GnssTime nearest_glonass_time(unsigned second_of_day, GnssTime near);

struct GlonassReading {
  GlonassDay day;
  double second_of_day = 0;
};
// Reading of an instant; inside a leap second as the second after it. n4 wraps
// after 31.
GlonassReading glonass_reading(GnssTime t);

// An instant kept to 1980 .. 2190, so that no week count overflows.
GnssTime within_range(GnssTime t);

}  // namespace stillpoint::rtcm

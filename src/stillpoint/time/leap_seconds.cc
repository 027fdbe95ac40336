#include "stillpoint/time/leap_seconds.h"

#include <array>
#include <chrono>

namespace stillpoint {
namespace {

using std::chrono::sys_days;
using std::chrono::year_month_day;

constexpr sys_days kGpsDay0 =
    std::chrono::year{1980} / std::chrono::January / 6;

constexpr std::int64_t day_of(int year, unsigned month, unsigned day) {
  const sys_days date = year_month_day{std::chrono::year{year},
                                       std::chrono::month{month},
                                       std::chrono::day{day}};
  return (date - kGpsDay0).count();
}

// source: IERS Bulletin C, as in the published rows of tests/vectors/time.vec
// (TAI-UTC minus 19 s). Rows before 1980 are left out: GPST starts there.
constexpr std::array kSteps{
    LeapStep{day_of(1980, 1, 1), 0},  LeapStep{day_of(1981, 7, 1), 1},
    LeapStep{day_of(1982, 7, 1), 2},  LeapStep{day_of(1983, 7, 1), 3},
    LeapStep{day_of(1985, 7, 1), 4},  LeapStep{day_of(1988, 1, 1), 5},
    LeapStep{day_of(1990, 1, 1), 6},  LeapStep{day_of(1991, 1, 1), 7},
    LeapStep{day_of(1992, 7, 1), 8},  LeapStep{day_of(1993, 7, 1), 9},
    LeapStep{day_of(1994, 7, 1), 10}, LeapStep{day_of(1996, 1, 1), 11},
    LeapStep{day_of(1997, 7, 1), 12}, LeapStep{day_of(1999, 1, 1), 13},
    LeapStep{day_of(2006, 1, 1), 14}, LeapStep{day_of(2009, 1, 1), 15},
    LeapStep{day_of(2012, 7, 1), 16}, LeapStep{day_of(2015, 7, 1), 17},
    LeapStep{day_of(2017, 1, 1), 18},
};

}  // namespace

std::int64_t day_number(int year, int month, int day) {
  return day_of(year, static_cast<unsigned>(month), static_cast<unsigned>(day));
}

std::span<const LeapStep> leap_steps() {
  return kSteps;
}

const LeapStep& leap_step_of_day(std::int64_t utc_day) {
  // From the end: nearly every question is about the last rows.
  for (std::size_t i = kSteps.size(); i-- > 1;) {
    if (utc_day >= kSteps[i].utc_day) {
      return kSteps[i];
    }
  }
  return kSteps.front();
}

bool has_leap_second(std::int64_t utc_day) {
  const LeapStep& next = leap_step_of_day(utc_day + 1);
  return next.utc_day == utc_day + 1 && next.gps_minus_utc_s > 0;
}

}  // namespace stillpoint

#include "stillpoint/models/tide_arguments.h"

#include <erfa.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

GnssTime utc(const Calendar& c) {
  return *from_calendar(c, TimeScale::kUtc);
}

double within_half_turn(double angle_rad) {
  return std::remainder(angle_rad, kTurn);
}

// kind: published   source: definition of J2000.0, 2000-01-01 12:00 TT, which
// is 11:58:55.816 UTC; a Julian century has 36525 days
// tolerance: 1e-10 days, the 1 us of the docstring with a margin
TEST(TideArguments, CountTtFromJ2000) {
  const GnssTime t = utc({.year = 2000,
                          .month = 1,
                          .day = 1,
                          .hour = 11,
                          .minute = 58,
                          .second = 55.816});
  EXPECT_NEAR(days_of_tt(t), 0, 1e-10);
  EXPECT_NEAR(centuries_of_tt(t + Duration{36'525 * 86'400.0}), 1, 1e-13);
}

// kind: published   source: Bulletin C 52 of the IERS (GPST - UTC = 18 s)
// tolerance: 1e-6 s, the double of seconds of week
TEST(TideArguments, ReadTheHourInUtc) {
  const GnssTime midnight = utc({.year = 2020, .month = 2, .day = 2});
  EXPECT_NEAR(utc_second_of_day(midnight), 0, 1e-6);
  EXPECT_NEAR(utc_second_of_day(midnight - Duration{1}), 86'399, 1e-6);
  EXPECT_NEAR(
      utc_second_of_day(midnight + Duration{43'200.25}), 43'200.25, 1e-6);
}

// kind: cross   source: the rates against the angles a day apart
// tolerance: 1e-8 rad, the change of the rates in 30 years
TEST(TideArguments, TurnAtTheirRates) {
  const TideArguments rates = tide_rates_rad_per_s();
  const GnssTime t = utc({.year = 2026, .month = 5, .day = 3, .hour = 7});
  const TideArguments a = tide_arguments_rad(t);
  const TideArguments b = tide_arguments_rad(t + Duration{86'400});
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_NEAR(within_half_turn(b[i] - a[i] - 86'400 * rates[i]), 0, 1e-8)
        << i;
  }
}

// kind: cross   source: ERFA's sidereal time (gmst06): tau + s of the tide K1
// is sidereal time and half a turn, as tau counts UT from midnight
// tolerance: 2e-4 rad: sidereal time is counted with the Sun's aberration of
// 20.5 arcsec (1e-4 rad), the longitude of the Sun here without
TEST(TideArguments, K1KeepsSiderealTime) {
  for (const int year : {1995, 2010, 2024}) {
    const GnssTime t = utc({.year = year, .month = 8, .day = 9, .hour = 5});
    const double tt = days_of_tt(t);
    const double ut = tt - (kTtMinusGpstS + gps_minus_utc_s(t)) / 86'400;
    const double sidereal = eraGmst06(2'451'545.0, ut, 2'451'545.0, tt);
    const TideArguments a = tide_arguments_rad(t);
    EXPECT_NEAR(within_half_turn(a[0] + a[1] - sidereal - kTurn / 2), 0, 2e-4)
        << year;
  }
}

}  // namespace
}  // namespace stillpoint::models

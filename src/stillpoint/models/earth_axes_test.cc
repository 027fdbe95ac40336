#include "stillpoint/models/earth_axes.h"

#include <erfa.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/tide_arguments.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kJ2000 = 2'451'545.0;

GnssTime utc(int year, int month, int day, int hour) {
  return *from_calendar(
      {.year = year, .month = month, .day = day, .hour = hour},
      TimeScale::kUtc);
}

// kind: cross   source: ERFA's era00 of 2000-01-01 12:00 UT1 (shared checks,
// section 9)
// tolerance: 1e-10 rad, the microsecond that days as a double resolve
TEST(EarthRotation, AtNoonOf2000) {
  const GnssTime t = utc(2000, 1, 1, 12);
  EXPECT_NEAR(
      earth_rotation_rad(t, ut1_minus_gpst_s(t, 0)), 4.894961212823756, 1e-10);
}

// kind: published   source: Bulletin C 52 of the IERS: a second was put in at
// the end of 2016 (18 s since)
// tolerance: none, whole seconds
TEST(EarthRotation, Ut1IsSteadyOverALeapSecond) {
  const GnssTime after = utc(2017, 1, 1, 0);
  EXPECT_EQ(ut1_minus_gpst_s(after, 0.5), -17.5);
  EXPECT_EQ(ut1_minus_gpst_s(after - Duration{3600}, -0.5), -17.5);
}

// kind: cross   source: ERFA by its other way: the equinox, full IAU 2000A
// nutation and exact matrices (c2t06a)
// tolerance: 5e-9 of a unit vector, 1 mas: the cut nutation (seen: 1.6e-9)
TEST(EarthAxes, AgreeWithTheFullTransformation) {
  constexpr double kX = 1.0e-6;
  constexpr double kY = 2.5e-6;
  constexpr double kDut1S = -0.62;
  for (const int year : {1996, 2004, 2012, 2020, 2026, 2035}) {
    const GnssTime t = utc(year, year % 12 + 1, 17, year % 24);
    const double tt = days_of_tt(t);
    const double ut1_s = ut1_minus_gpst_s(t, kDut1S);
    double full[3][3];
    eraC2t06a(kJ2000,
              tt,
              kJ2000,
              tt + (ut1_s - kTtMinusGpstS) / 86'400,
              kX,
              kY,
              full);
    const Ecef sky{0.36, -0.48, 0.8};
    const Ecef is = to_earth_axes(
        turn(cirs_R_gcrs(t), sky), earth_rotation_rad(t, ut1_s), kX, kY);
    const Ecef want{
        full[0][0] * sky.x_m + full[0][1] * sky.y_m + full[0][2] * sky.z_m,
        full[1][0] * sky.x_m + full[1][1] * sky.y_m + full[1][2] * sky.z_m,
        full[2][0] * sky.x_m + full[2][1] * sky.y_m + full[2][2] * sky.z_m};
    EXPECT_NEAR(norm(is - want), 0, 5e-9) << year;
  }
}

}  // namespace
}  // namespace stillpoint::models

#include "stillpoint/rtcm/ephemeris_time.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

GnssTime at(const char* text) {
  return parse_time(text).value_or(GnssTime{});
}

GnssTime gps(int week, double tow_s) {
  return GnssTime::from_gps_week(week, tow_s);
}

TEST(ReferenceTime, WeekIsTheNearestOfItsRound) {
  EXPECT_EQ(reference_time(kGpsCount, 257, 324000, gps(2305, 300000)),
            gps(2305, 324000));
  EXPECT_EQ(reference_time(kGpsCount, 257, 324000, gps(1500, 0)),
            gps(1281, 324000));
  EXPECT_EQ(reference_time(kGalileoCount, 1281, 318000, gps(2000, 0)),
            gps(2305, 318000));
  // From the first round of ten bits on, the longer counts need no help.
  EXPECT_EQ(reference_time(kBeidouCount, 949, 316800, GnssTime{}),
            gps(2305, 316814));
}

TEST(ReferenceTime, CountsToTheWeekBeyondTheEdge) {
  const GnssTime before = gps(2009, 604219);
  const GnssTime after = gps(2010, 59);
  // Sent at the end of a week, meant for the start of the next.
  EXPECT_EQ(reference_time(kGpsCount, 985, 0, before), gps(2010, 0));
  EXPECT_EQ(reference_time(kGpsCount, 985, 0, after), gps(2010, 0));
  // Sent at the start of a week, meant for the end of the one before.
  EXPECT_EQ(reference_time(kGalileoCount, 986, 604200, after),
            gps(2009, 604200));
  // The same number on its own side of the edge.
  EXPECT_EQ(reference_time(kGpsCount, 986, 0, after), gps(2010, 0));
  EXPECT_EQ(reference_time(kGpsCount, 985, 604784, after), gps(2009, 604784));
  // Nowhere near the edge nothing moves: a set of a week ago stays one.
  EXPECT_EQ(reference_time(kGpsCount, 985, 0, gps(2009, 3600)), gps(2009, 0));
  EXPECT_EQ(reference_time(kGpsCount, 985, 300000, gps(2010, 300000)),
            gps(2009, 300000));
}

TEST(ReferenceTime, BeidouWeekEndsFourteenSecondsLater) {
  EXPECT_EQ(reference_time(kBeidouCount, 654, 0, gps(2009, 604790)),
            gps(2010, 14));
  EXPECT_EQ(reference_time(kBeidouCount, 653, 604792, gps(2010, 5)),
            gps(2010, 6));
}

TEST(ReferenceTime, SecondsBeyondTheWeekAreNone) {
  EXPECT_FALSE(reference_time(kGpsCount, 0, 604800, gps(2000, 0)));
  EXPECT_FALSE(nearest_in_week(kGpsCount, 604800, gps(2000, 0)));
}

TEST(ReferenceTime, AnyNearIsBorne) {
  using Limits = std::numeric_limits<std::int64_t>;
  for (const std::int64_t ns : {Limits::min(), Limits::max()}) {
    const GnssTime near = GnssTime::from_ns(ns);
    EXPECT_TRUE(reference_time(kBeidouCount, 8191, 604792, near));
    EXPECT_TRUE(nearest_in_week(kGpsCount, 604784, near));
    EXPECT_FALSE(week_fields(kGpsCount, near, 16));
    EXPECT_GE(nearest_glonass_time(0, near).week(), -1);
    EXPECT_LE(glonass_reading(near).day.n4, 31U);
  }
}

TEST(NearestInWeek, CrossesTheEdge) {
  EXPECT_EQ(nearest_in_week(kGpsCount, 604784, gps(2010, 0)),
            gps(2009, 604784));
  EXPECT_EQ(nearest_in_week(kGpsCount, 16, gps(2009, 604000)), gps(2010, 16));
  EXPECT_EQ(nearest_in_week(kBeidouCount, 604792, gps(2010, 14)), gps(2010, 6));
}

TEST(WeekFields, IsTheReverse) {
  const auto f = week_fields(kBeidouCount, gps(2305, 316814), 8);
  ASSERT_TRUE(f);
  EXPECT_EQ(f->week, 949);
  EXPECT_EQ(f->steps, 316800U / 8);
  EXPECT_FALSE(week_fields(kBeidouCount, gps(2305, 316815), 8));
  // Before a count's first week its last number stands.
  EXPECT_EQ(week_fields(kGalileoCount, gps(1023, 0), 60)->week, 4095);
}

// kind: published   source: GLONASS ICD, General Description of CDMA (2016),
// worked example of the orbit: N4 5, NT 251, tb 11700 s is 2012-09-07 of
// GLONASS time; tolerance: exact
TEST(GlonassTime, DayOfTheIcdExample) {
  const GnssTime t = at("2012-09-07T00:15:00Z");
  EXPECT_EQ(glonass_time({5, 251}, 11700), t);
  EXPECT_EQ(glonass_reading(t).day, (GlonassDay{5, 251}));
  EXPECT_EQ(glonass_reading(t).second_of_day, 11700);
}

TEST(GlonassTime, DayBeginsAt21Utc) {
  EXPECT_EQ(glonass_time({1, 1}, 0), at("1995-12-31T21:00:00Z"));
  EXPECT_EQ(glonass_time({6, 1461}, 86399), at("2019-12-31T20:59:59Z"));
  EXPECT_EQ(glonass_reading(at("2019-12-31T21:00:00Z")).day,
            (GlonassDay{7, 1}));
}

// UTC had a leap second at the end of 2016, at 03:00 of the GLONASS day.
TEST(GlonassTime, LeapSecondIsInsideTheDay) {
  const GlonassDay day{6, 367};  // 2017-01-01
  const GnssTime before = *glonass_time(day, 10'799);
  const GnssTime after = *glonass_time(day, 10'800);
  EXPECT_EQ(after - before, Duration{2});
  EXPECT_EQ(after, at("2017-01-01T00:00:00Z"));
  EXPECT_EQ(glonass_reading(before + Duration{1}).second_of_day, 10'800);
  EXPECT_EQ(glonass_reading(after).second_of_day, 10'800);
}

TEST(GlonassTime, NoSuchDay) {
  EXPECT_FALSE(glonass_time({0, 1}, 0));
  EXPECT_FALSE(glonass_time({32, 1}, 0));
  EXPECT_FALSE(glonass_time({6, 0}, 0));
  EXPECT_FALSE(glonass_time({6, 1462}, 0));
}

TEST(NearestGlonassTime, IsWithinHalfADay) {
  const GnssTime near = at("2018-07-14T21:10:00Z");  // 00:10 of the 15th
  EXPECT_EQ(nearest_glonass_time(0, near), at("2018-07-14T21:00:00Z"));
  EXPECT_EQ(nearest_glonass_time(23 * 3600, near), at("2018-07-14T20:00:00Z"));
  EXPECT_EQ(nearest_glonass_time(11 * 3600, near), at("2018-07-15T08:00:00Z"));
}

}  // namespace
}  // namespace stillpoint::rtcm

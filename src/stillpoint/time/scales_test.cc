#include "stillpoint/time/scales.h"

#include <gtest/gtest.h>

#include <limits>

namespace stillpoint {
namespace {

GnssTime at(const Calendar& c, TimeScale scale) {
  const auto t = from_calendar(c, scale);
  EXPECT_TRUE(t.has_value()) << (t ? "" : t.error().what);
  return t.value_or(GnssTime{});
}

void expect_reading(const Calendar& got, const Calendar& want) {
  EXPECT_EQ(got.year, want.year);
  EXPECT_EQ(got.month, want.month);
  EXPECT_EQ(got.day, want.day);
  EXPECT_EQ(got.hour, want.hour);
  EXPECT_EQ(got.minute, want.minute);
  EXPECT_EQ(got.second, want.second);
}

TEST(FromCalendar, GpstCountsFromTheFirstOfItsWeeks) {
  EXPECT_EQ(at({1980, 1, 6, 0, 0, 0}, TimeScale::kGps).ns(), 0);
  EXPECT_EQ(at({1980, 1, 5, 23, 59, 59}, TimeScale::kGps).ns(),
            -GnssTime::kNsPerS);
}

TEST(FromCalendar, IsExactToTheNanosecond) {
  const GnssTime t =
      at({2026, 11, 25, 23, 59, 59.999'999'999}, TimeScale::kGps);
  EXPECT_EQ(t.ns() + 1, at({2026, 11, 26, 0, 0, 0}, TimeScale::kGps).ns());
  expect_reading(to_calendar(t, TimeScale::kGps),
                 {2026, 11, 25, 23, 59, 59.999'999'999});
}

TEST(FromCalendar, ReadingsThatDoNotExistAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const Calendar wrong[] = {
      {2023, 2, 29, 0, 0, 0},
      {1900, 2, 29, 0, 0, 0},
      {2024, 2, 30, 0, 0, 0},
      {2024, 4, 31, 0, 0, 0},
      {2024, 0, 1, 0, 0, 0},
      {2024, 13, 1, 0, 0, 0},
      {2024, 257, 1, 0, 0, 0},
      {2024, 1, 0, 0, 0, 0},
      {2024, 1, 257, 0, 0, 0},
      {2024, 1, 1, 24, 0, 0},
      {2024, 1, 1, -1, 0, 0},
      {2024, 1, 1, 0, 60, 0},
      {2024, 1, 1, 0, -1, 0},
      {2024, 1, 1, 0, 0, 60},
      {2024, 1, 1, 0, 0, -0.1},
      {2024, 1, 1, 0, 0, nan},
      {1899, 12, 31, 0, 0, 0},
      {2201, 1, 1, 0, 0, 0},
  };
  for (const Calendar& c : wrong) {
    for (const TimeScale scale : {TimeScale::kGps, TimeScale::kUtc}) {
      const auto t = from_calendar(c, scale);
      ASSERT_FALSE(t.has_value()) << c.year << ' ' << c.month << ' ' << c.day;
      EXPECT_EQ(t.error().code, ErrorCode::kOutOfRange);
    }
  }
  EXPECT_TRUE(from_calendar({2000, 2, 29, 0, 0, 0}, TimeScale::kUtc));
}

TEST(FromCalendar, Second60ExistsOnlyInALeapSecondOfUtc) {
  const Calendar leap{2016, 12, 31, 23, 59, 60.5};
  EXPECT_TRUE(from_calendar(leap, TimeScale::kUtc));
  EXPECT_TRUE(from_calendar(leap, TimeScale::kGlonass));
  for (const TimeScale scale : {TimeScale::kGps,
                                TimeScale::kGalileo,
                                TimeScale::kBeidou,
                                TimeScale::kQzss,
                                TimeScale::kTai}) {
    EXPECT_FALSE(from_calendar(leap, scale));
  }
  EXPECT_FALSE(from_calendar({2017, 12, 31, 23, 59, 60}, TimeScale::kUtc));
  EXPECT_FALSE(from_calendar({2016, 12, 31, 22, 59, 60}, TimeScale::kUtc));
  EXPECT_FALSE(from_calendar({2016, 12, 30, 23, 59, 60}, TimeScale::kUtc));
  EXPECT_FALSE(from_calendar({2016, 12, 31, 23, 59, 61}, TimeScale::kUtc));
  // The table starts with 1980-01-01: no leap second belongs to that row here.
  EXPECT_FALSE(from_calendar({1979, 12, 31, 23, 59, 60}, TimeScale::kUtc));
}

// kind: published   source: IERS Bulletin C 52 (TAI-UTC 37 s from 2017-01-01)
// tolerance: none, whole seconds
TEST(Utc, TheLeapSecondOf2016IsOneSecondLong) {
  const GnssTime before = at({2016, 12, 31, 23, 59, 59}, TimeScale::kUtc);
  const GnssTime leap = at({2016, 12, 31, 23, 59, 60}, TimeScale::kUtc);
  const GnssTime after = at({2017, 1, 1, 0, 0, 0}, TimeScale::kUtc);
  EXPECT_EQ((leap - before).s, 1.0);
  EXPECT_EQ((after - leap).s, 1.0);
  EXPECT_EQ(gps_minus_utc_s(leap), 17);
  EXPECT_EQ(gps_minus_utc_s(GnssTime::from_ns(after.ns() - 1)), 17);
  EXPECT_EQ(gps_minus_utc_s(after), 18);
  expect_reading(to_calendar(after, TimeScale::kGps), {2017, 1, 1, 0, 0, 18});
  expect_reading(to_calendar(leap, TimeScale::kUtc),
                 {2016, 12, 31, 23, 59, 60});
  expect_reading(
      to_calendar(GnssTime::from_ns(after.ns() - 1), TimeScale::kUtc),
      {2016, 12, 31, 23, 59, 60.999'999'999});
  expect_reading(to_calendar(GnssTime::from_ns(leap.ns() - 1), TimeScale::kUtc),
                 {2016, 12, 31, 23, 59, 59.999'999'999});
  expect_reading(to_calendar(after, TimeScale::kUtc), {2017, 1, 1, 0, 0, 0});
}

// kind: cross, from_calendar against to_calendar, two seconds around every
// step of the table   tolerance: none, whole nanoseconds
TEST(Utc, RoundTripsAroundEveryLeapSecond) {
  int steps = 0;
  int offset_s = 0;
  for (int year = 1980; year <= 2017; ++year) {
    for (const int month : {1, 7}) {
      const GnssTime start = at({year, month, 1, 0, 0, 0}, TimeScale::kUtc);
      steps += gps_minus_utc_s(start) - offset_s;
      offset_s = gps_minus_utc_s(start);
      for (std::int64_t ns = -2'000'000'000; ns <= 2'000'000'000;
           ns += 249'999'999) {
        const GnssTime t = GnssTime::from_ns(start.ns() + ns);
        EXPECT_EQ(at(to_calendar(t, TimeScale::kUtc), TimeScale::kUtc), t);
      }
    }
  }
  EXPECT_EQ(steps, 18);
}

// kind: cross, a walk of 4 * 10^4 instants through 1900 .. 2200 in steps that
// meet every hour and second   tolerance: none
TEST(Calendar, RoundTripsOnEveryScaleFrom1900To2200) {
  const std::int64_t step = 236'664'123'456'789;  // 2.7 days
  for (const TimeScale scale : {TimeScale::kGps,
                                TimeScale::kBeidou,
                                TimeScale::kGlonass,
                                TimeScale::kTai}) {
    const GnssTime last = at({2200, 12, 31, 23, 59, 59}, scale);
    for (GnssTime t = at({1900, 1, 1, 0, 0, 0}, scale); t < last;
         t = GnssTime::from_ns(t.ns() + step)) {
      ASSERT_EQ(at(to_calendar(t, scale), scale), t);
    }
  }
}

TEST(Calendar, ExtremeInstantsDoNotOverflow) {
  for (const auto ns : {std::numeric_limits<std::int64_t>::min(),
                        std::numeric_limits<std::int64_t>::max()}) {
    const GnssTime t = GnssTime::from_ns(ns);
    EXPECT_EQ(to_calendar(t, TimeScale::kTai).year, ns < 0 ? 1687 : 2272);
    EXPECT_EQ(to_calendar(t, TimeScale::kUtc).year, ns < 0 ? 1687 : 2272);
  }
}

// kind: published   source: BDS-SIS-ICD-2.1, section on BDT: BDT starts at
// 2006-01-01 00:00:00 UTC; GPST was 14 s ahead (Bulletin C)   tolerance: none
TEST(Scales, OffsetsAreThoseOfTheSystems) {
  const GnssTime t = at({2006, 1, 1, 0, 0, 0}, TimeScale::kUtc);
  expect_reading(to_calendar(t, TimeScale::kBeidou), {2006, 1, 1, 0, 0, 0});
  expect_reading(to_calendar(t, TimeScale::kGps), {2006, 1, 1, 0, 0, 14});
  expect_reading(to_calendar(t, TimeScale::kGalileo), {2006, 1, 1, 0, 0, 14});
  expect_reading(to_calendar(t, TimeScale::kQzss), {2006, 1, 1, 0, 0, 14});
  expect_reading(to_calendar(t, TimeScale::kTai), {2006, 1, 1, 0, 0, 33});
  expect_reading(to_calendar(t, TimeScale::kGlonass), {2006, 1, 1, 0, 0, 0});
  EXPECT_EQ(t.week(), kBeidouWeek0);
  EXPECT_EQ(t.tow_s(), -kBdtMinusGpstS);
}

TEST(LeapTable, ExpiresAfterItsLastStepAndBeforeTheNextPossibleOne) {
  EXPECT_EQ(format_utc(leap_table_expires()), "2027-06-28T00:00:00Z");
  EXPECT_EQ(gps_minus_utc_s(leap_table_expires()), 18);
  EXPECT_EQ(gps_minus_utc_s(at({1970, 1, 1, 0, 0, 0}, TimeScale::kGps)), 0);
}

// kind: cross, the two directions   tolerance: 0.7 us, a double near 60000
// resolves 7e-12 days
TEST(Mjd, RoundTripsOnEveryScale) {
  for (const TimeScale scale :
       {TimeScale::kGps, TimeScale::kUtc, TimeScale::kBeidou}) {
    const GnssTime t = at({2026, 11, 25, 18, 0, 0.25}, scale);
    EXPECT_NEAR(to_mjd(t, scale), 61369.75 + 0.25 / 86400, 7.3e-12);
    EXPECT_NEAR((from_mjd(to_mjd(t, scale), scale) - t).s, 0, 0.7e-6);
  }
  EXPECT_EQ(from_mjd(57754, TimeScale::kUtc),
            at({2017, 1, 1, 0, 0, 0}, TimeScale::kUtc));
  EXPECT_EQ(from_mjd(44243.5, TimeScale::kGps),
            at({1980, 1, 5, 12, 0, 0}, TimeScale::kGps));
}

TEST(Mjd, NonsenseIsLimitedToTheCalendarsRange) {
  EXPECT_EQ(from_mjd(1e300, TimeScale::kGps), from_mjd(1e9, TimeScale::kGps));
  EXPECT_EQ(to_calendar(from_mjd(-1e9, TimeScale::kGps), TimeScale::kGps).year,
            1900);
  EXPECT_EQ(from_mjd(std::numeric_limits<double>::quiet_NaN(), TimeScale::kUtc),
            GnssTime{});
}

TEST(DayOfYear, CountsTheLeapDay) {
  EXPECT_EQ(day_of_year({2024, 12, 31, 0, 0, 0}), 366);
  EXPECT_EQ(day_of_year({2023, 12, 31, 0, 0, 0}), 365);
  EXPECT_EQ(day_of_year({2024, 3, 1, 0, 0, 0}), 61);
}

// kind: cross, fractions of the year's own length by hand   tolerance: 1e-12
// years, three steps of a double
TEST(DecimalYear, CountsFractionsOfTheYearsOwnLength) {
  EXPECT_NEAR(decimal_year(at({2020, 6, 25, 0, 0, 0}, TimeScale::kGps)),
              2020 + 176.0 / 366,
              1e-12);
  EXPECT_NEAR(
      decimal_year(at({2021, 7, 2, 12, 0, 0}, TimeScale::kGps)), 2021.5, 1e-12);
  EXPECT_EQ(from_decimal_year(2038.0),
            at({2038, 1, 1, 0, 0, 0}, TimeScale::kGps));
  const GnssTime t = at({2040, 12, 31, 23, 59, 59}, TimeScale::kGps);
  EXPECT_NEAR((from_decimal_year(decimal_year(t)) - t).s, 0, 1e-5);
  EXPECT_EQ(to_calendar(from_decimal_year(1e12), TimeScale::kGps).year, 2200);
  EXPECT_EQ(from_decimal_year(std::numeric_limits<double>::quiet_NaN()),
            GnssTime{});
}

TEST(GnssWeek, TurnsOverAtTheStartOfSunday) {
  const GnssTime t = at({2019, 4, 7, 0, 0, 0}, TimeScale::kGps);
  EXPECT_EQ(t.week(), 2048);
  EXPECT_EQ(t.tow_s(), 0);
  const GnssTime before = GnssTime::from_ns(t.ns() - 1);
  EXPECT_EQ(before.week(), 2047);
  EXPECT_DOUBLE_EQ(before.tow_s(), 604'799.999'999'999);
  EXPECT_EQ(GnssTime::from_gps_week(2047, 604'800), t);
  EXPECT_EQ(GnssTime::from_gps_week(2049, -604'800), t);
  EXPECT_EQ(GnssTime::from_ns(-1).week(), -1);
}

TEST(Duration, WholeSecondsAreExact) {
  const GnssTime t = at({2026, 11, 25, 0, 0, 0}, TimeScale::kGps);
  for (int s = 0; s < 3000; ++s) {
    ASSERT_EQ((t + Duration{static_cast<double>(s)} - t).s, s);
    ASSERT_EQ(GnssTime::from_gps_week(2446, s).tow_s(), s);
  }
}

TEST(ResolveWeek, TakesTheFullWeekNearestToTheHint) {
  EXPECT_EQ(resolve_week(0, 1024, 2047), 2048);
  EXPECT_EQ(resolve_week(1023, 1024, 2048), 2047);
  EXPECT_EQ(resolve_week(398, 1024, 2446), 2446);
  EXPECT_EQ(resolve_week(398, 1024, 2446 + 511), 2446);
  EXPECT_EQ(resolve_week(398, 1024, 2446 + 513), 3470);
  EXPECT_EQ(resolve_week(2446, 8192, 2400), 2446);
  EXPECT_EQ(resolve_week(5, 1024, 0), 5);
  // Exactly half a cycle away on both sides: the earlier one.
  EXPECT_EQ(resolve_week(0, 1024, 2048 + 512), 2048);
}

// 2038-01-19 03:14:08 is where 32-bit seconds since 1970 end.
TEST(Calendar, GoesOnAfterThe32BitSecondsOf1970) {
  const GnssTime t = at({2038, 1, 19, 3, 14, 8}, TimeScale::kUtc);
  EXPECT_EQ(format_utc(t), "2038-01-19T03:14:08Z");
  EXPECT_EQ(format_gpst(t), "2038-01-19T03:14:26");
  EXPECT_EQ(t.week(), 3028);
}

}  // namespace
}  // namespace stillpoint

#include "stillpoint/intake/export/period.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

GnssTime at(const char* text) {
  return *parse_time(text);
}

Period period(const char* t, PeriodLength length, const Span& asked = {}) {
  return period_of(at(t), length, asked);
}

TEST(PeriodOf, ADayBeginsAtMidnightOfGpsTime) {
  EXPECT_EQ(period("2026-06-02T00:00:00", PeriodLength::kDay),
            (Period{at("2026-06-02"), at("2026-06-03")}));
  EXPECT_EQ(period("2026-06-01T23:59:59.999", PeriodLength::kDay),
            (Period{at("2026-06-01"), at("2026-06-02")}));
}

TEST(PeriodOf, AnHourBeginsAtTheHour) {
  EXPECT_EQ(period("2026-06-02T10:00:00", PeriodLength::kHour),
            (Period{at("2026-06-02T10:00:00"), at("2026-06-02T11:00:00")}));
  EXPECT_EQ(period("2026-06-02T09:59:59.999999999", PeriodLength::kHour),
            (Period{at("2026-06-02T09:00:00"), at("2026-06-02T10:00:00")}));
}

TEST(PeriodOf, GoesOverTheEdgeOfAWeekAndOfAYear) {
  // 2026-06-07 is a Sunday.
  EXPECT_EQ(at("2026-06-07").tow_s(), 0);
  EXPECT_EQ(period("2026-06-06T23:59:59", PeriodLength::kHour).end,
            at("2026-06-07"));
  EXPECT_EQ(period("2026-12-31T23:30:00", PeriodLength::kDay).end,
            at("2027-01-01"));
}

// kind: published   source: IERS Bulletin C 52: a leap second at the end of
// 2016-12-31 UTC, before it GPST - UTC = 17 s, after it 18 s
// tolerance: exact, whole seconds
TEST(PeriodOf, ALeapSecondLengthensNoPeriodOfGpsTime) {
  const Period hour =
      period_of(at("2016-12-31T23:59:60Z"), PeriodLength::kHour, {});
  EXPECT_EQ(hour.start, at("2017-01-01T00:00:00"));
  EXPECT_EQ((hour.end - hour.start).s, 3600);
  EXPECT_EQ(period_of(at("2016-12-31T23:59:42Z"), PeriodLength::kDay, {}).start,
            at("2016-12-31"));
  EXPECT_EQ(period_of(at("2016-12-31T23:59:43Z"), PeriodLength::kDay, {}).start,
            at("2017-01-01"));
}

TEST(PeriodOf, IsCutToWhatWasAsked) {
  const Span asked{at("2026-06-02T10:00:00"), at("2026-06-02T10:15:00")};
  EXPECT_EQ(period("2026-06-02T10:07:00", PeriodLength::kDay, asked),
            (Period{*asked.start, *asked.end}));
  EXPECT_TRUE(asked.holds(*asked.start));
  EXPECT_FALSE(asked.holds(*asked.end));
}

TEST(PeriodOf, WorksBeforeTheFirstEpochOfGps) {
  EXPECT_EQ(period_of(GnssTime::from_ns(-1), PeriodLength::kHour, {}).end,
            GnssTime{});
}

}  // namespace
}  // namespace stillpoint::intake

// tests/vectors/time.vec: leap seconds and week numbers.
#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

void check_leap_row(const test::Block& row) {
  const auto start = parse_time(row.word("from_utc") + "T00:00:00Z");
  ASSERT_TRUE(start.has_value());
  const double offset_s = row.out("gps_minus_utc_s");
  EXPECT_EQ(gps_minus_utc_s(*start), offset_s);
  const auto tai =
      from_calendar(to_calendar(*start, TimeScale::kTai), TimeScale::kGps);
  const auto utc =
      from_calendar(to_calendar(*start, TimeScale::kUtc), TimeScale::kGps);
  EXPECT_EQ((*tai - *utc).s, row.out("tai_minus_utc_s"));
  if (offset_s > 0) {
    EXPECT_EQ(gps_minus_utc_s(GnssTime::from_ns(start->ns() - 1)),
              offset_s - 1);
  }
}

void check_week_row(const test::Block& row) {
  const auto t = parse_time(row.word("midnight_gpst"));
  ASSERT_TRUE(t.has_value());
  EXPECT_EQ(t->week(), row.out("gps_week"));
  EXPECT_EQ(t->tow_s(), row.out("day_of_week") * 86400);
  EXPECT_EQ(to_mjd(*t, TimeScale::kGps), row.out("mjd"));
  EXPECT_EQ(from_mjd(row.out("mjd"), TimeScale::kGps), *t);
  EXPECT_EQ(day_of_year(to_calendar(*t, TimeScale::kGps)),
            row.out("day_of_year"));
  const int modulo = static_cast<int>(row.out("week_modulo_1024"));
  for (const int hint_error : {-511, 0, 511}) {
    EXPECT_EQ(resolve_week(modulo, 1024, t->week() + hint_error), t->week());
  }
  if (row.has("beidou_week")) {
    EXPECT_EQ(t->week() - kBeidouWeek0, row.out("beidou_week"));
  }
  if (row.has("galileo_week")) {
    EXPECT_EQ(t->week() - kGalileoWeek0, row.out("galileo_week"));
  }
}

// kind: published   source and tolerance: in the file
TEST(PublishedTime, LeapSecondsAndWeeksAgree) {
  int leap_rows = 0;
  int week_rows = 0;
  for (const test::Block& row : test::read_vectors("time.vec")) {
    SCOPED_TRACE(row.name);
    if (row.has("from_utc")) {
      check_leap_row(row);
      ++leap_rows;
    } else {
      check_week_row(row);
      ++week_rows;
    }
  }
  EXPECT_EQ(leap_rows, 19);
  EXPECT_EQ(week_rows, 10);
}

}  // namespace
}  // namespace stillpoint

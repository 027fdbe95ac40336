#include "stillpoint/aids/earth_orientation.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

constexpr double kDayS = 86'400;
// UT1-TAI is held with 40 s of offset: 7e-15 s of rounding each way.
constexpr double kRoundingS = 5e-14;

GnssTime day(double mjd) {
  return from_mjd(mjd, TimeScale::kUtc);
}

EarthOrientationRow row(double mjd, double ut1_s, double x_rad = 0) {
  EarthOrientationRow made;
  made.time = day(mjd);
  made.value = {x_rad, -2 * x_rad, ut1_s};
  return made;
}

EarthOrientationProduct product(std::vector<EarthOrientationRow> rows) {
  return {"made", "C04 20", std::move(rows), 0};
}

TEST(EarthOrientation, RowsComeBackAndNothingStandsOutside) {
  EarthOrientationSeries series;
  EXPECT_FALSE(series.first());
  EXPECT_FALSE(series.last());
  EXPECT_FALSE(series.at(day(58'000)));
  ASSERT_TRUE(series.add(product(
      {row(58'000, 0.3, 1e-6), row(58'001, 0.301, 2e-6), row(58'004, 0.3)})));
  EXPECT_EQ(series.at(day(58'000))->x_pole_rad, 1e-6);
  EXPECT_EQ(series.at(day(58'001))->y_pole_rad, -4e-6);
  EXPECT_EQ(series.first(), day(58'000));
  EXPECT_EQ(series.last(), day(58'004));
  EXPECT_FALSE(series.at(day(58'000) - Duration{1e-6}));
  EXPECT_FALSE(series.at(day(58'002)));  // a gap of three days
  EXPECT_TRUE(series.at(day(58'005)));
  EXPECT_FALSE(series.at(day(58'005) + Duration{1e-3}));
}

// kind: cross (arithmetic by hand)
// tolerance: rounding
TEST(EarthOrientation, PoleAndUt1AreStraightBetweenRows) {
  EarthOrientationSeries series;
  ASSERT_TRUE(
      series.add(product({row(58'000, 0.3, 1e-6), row(58'002, 0.304, 5e-6)})));
  const auto value = series.at(day(58'000.5));
  ASSERT_TRUE(value);
  EXPECT_NEAR(value->x_pole_rad, 2e-6, 1e-20);
  EXPECT_NEAR(value->y_pole_rad, -4e-6, 1e-20);
  EXPECT_NEAR(value->ut1_minus_utc_s, 0.301, kRoundingS);
}

// kind: published; source: TAI-UTC is 36 s before and 37 s from 2017-01-01 on
// (IERS Bulletin C, shared checks section 9); UT1-UTC by hand
// tolerance: rounding
TEST(EarthOrientation, LeapSecondsAreNeverInterpolatedOver) {
  EarthOrientationSeries series;
  ASSERT_TRUE(series.add(product({row(57'753, -0.4077), row(57'754, 0.5913)})));
  // Half way through the day of 86401 s, UT1-TAI is half way too.
  const GnssTime noon = day(57'753) + Duration{86'401 / 2.0};
  EXPECT_NEAR(series.at(noon)->ut1_minus_utc_s, -0.4082, kRoundingS);
  const GnssTime leap_second = day(57'754) - Duration{0.5};
  EXPECT_NEAR(series.at(leap_second)->ut1_minus_utc_s,
              -0.4087 + 0.5 / 86'401 * 0.001,
              kRoundingS);
  EXPECT_NEAR(series.at(day(57'754))->ut1_minus_utc_s, 0.5913, kRoundingS);
}

// kind: cross (arithmetic by hand: UT1 loses the LOD in a day)
// tolerance: rounding
TEST(EarthOrientation, OnlyRowReachesADayToBothSides) {
  EarthOrientationRow noon = row(60'637.5, 0.05, 1e-6);
  noon.lod_s = 4e-4;
  noon.x_rate_rad_per_s = -5e-9 / kDayS;
  noon.y_rate_rad_per_s = 3e-9 / kDayS;
  EarthOrientationSeries series;
  ASSERT_TRUE(series.add(product({noon})));
  EXPECT_EQ(series.at(day(60'637.5))->x_pole_rad, 1e-6);
  const auto begin = series.at(day(60'637));
  const auto end = series.at(day(60'638));
  ASSERT_TRUE(begin && end);
  EXPECT_NEAR(begin->ut1_minus_utc_s, 0.0502, kRoundingS);
  EXPECT_NEAR(end->ut1_minus_utc_s, 0.0498, kRoundingS);
  EXPECT_NEAR(begin->x_pole_rad, 1e-6 + 2.5e-9, 1e-20);
  EXPECT_NEAR(end->y_pole_rad, -2e-6 + 1.5e-9, 1e-20);
  EXPECT_TRUE(series.at(day(60'636.5)));
  EXPECT_FALSE(series.at(day(60'636.4)));
  EXPECT_FALSE(series.at(day(60'638.6)));
}

// kind: cross (arithmetic by hand)
// tolerance: rounding
TEST(EarthOrientation, BeyondTheLastRowGoesWithItsLodAndTheSlopeOfThePole) {
  EarthOrientationRow last = row(58'001, 0.3, 3e-6);
  last.lod_s = 1e-3;
  EarthOrientationSeries series;
  ASSERT_TRUE(series.add(product({row(58'000, 0.3, 1e-6), last})));
  const auto value = series.at(day(58'001.5));
  ASSERT_TRUE(value);
  EXPECT_NEAR(value->ut1_minus_utc_s, 0.2995, kRoundingS);
  EXPECT_NEAR(value->x_pole_rad, 4e-6, 1e-20);

  last.lod_s = EarthOrientationRow::kNone;
  EarthOrientationSeries without;
  ASSERT_TRUE(without.add(product({row(58'000, 0.302, 1e-6), last})));
  EXPECT_NEAR(without.at(day(58'001.5))->ut1_minus_utc_s, 0.299, kRoundingS);
}

// kind: cross (arithmetic by hand)
// tolerance: rounding
TEST(EarthOrientation, ProductsJoinAndTheFirstWithBothSidesAnswers) {
  EarthOrientationSeries series;
  ASSERT_TRUE(series.add(product({row(58'000.5, 0.9)})));
  ASSERT_TRUE(series.add(product({row(58'000, 0.3), row(58'001, 0.3)})));
  ASSERT_TRUE(series.add(product({row(58'000, 0.5), row(58'001, 0.5)})));
  ASSERT_TRUE(series.add(product({row(58'002, 0.32), row(58'003, 0.34)})));
  EXPECT_NEAR(series.at(day(58'000.5))->ut1_minus_utc_s, 0.3, kRoundingS);
  // From the end of the second (of two that end there the first) to the
  // beginning of the last.
  EXPECT_NEAR(series.at(day(58'001.5))->ut1_minus_utc_s, 0.31, kRoundingS);
  EXPECT_EQ(series.first(), day(58'000));
  EXPECT_EQ(series.last(), day(58'003));
}

TEST(EarthOrientation, ProductsThatCannotBeUsedAreRefused) {
  EarthOrientationSeries series;
  EXPECT_EQ(series.add(product({})).error().code, ErrorCode::kNoData);
  EXPECT_EQ(
      series.add(product({row(58'001, 0.3), row(58'000, 0.3)})).error().code,
      ErrorCode::kBadFormat);
  EXPECT_EQ(
      series.add(product({row(58'000, 0.3), row(58'000, 0.3)})).error().code,
      ErrorCode::kBadFormat);
  EXPECT_EQ(
      series
          .add(product({row(58'000, std::numeric_limits<double>::quiet_NaN())}))
          .error()
          .code,
      ErrorCode::kBadFormat);
  // A leap second that this program does not know.
  const auto stepped =
      series.add(product({row(58'000, -0.4), row(58'001, 0.6)}));
  ASSERT_FALSE(stepped);
  EXPECT_EQ(stepped.error().where, "made");
  EXPECT_NE(stepped.error().what.find("2017-09-05"), std::string::npos);
  EXPECT_FALSE(stepped.error().remedy.empty());
  EXPECT_FALSE(series.first());
}

}  // namespace
}  // namespace stillpoint

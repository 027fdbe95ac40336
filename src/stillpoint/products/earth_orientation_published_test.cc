// Earth orientation of the series C04 at 2017-01-01, the day after the leap
// second.
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/products/earth_orientation_reader.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr double kArcsec = 3.14159265358979323846 / 648'000;
// One rounding of the conversion; UT1 is held with an offset of 37 s.
constexpr double kRoundingRad = 1e-21;
constexpr double kRoundingS = 2e-14;

EarthOrientationProduct read(std::string_view text) {
  auto product = read_earth_orientation(memory_stream(text, "sample"));
  if (!product) {
    ADD_FAILURE() << product.error().text();
  }
  return std::move(product.value());
}

// The rows of the day before have UT1-UTC of "about -0.4 s" in the source:
// here the day's LOD (1.0 ms) and the leap second are taken off.
constexpr std::string_view k20 =
    "# EOP (IERS) 20 C04\n"
    "2016  12  31   0  57753.00    0.080549    0.263128  -0.4077130"
    "    0.000120   -0.000168    0.000000    0.000000   0.0009962\n"
    "2017   1   1   0  57754.00    0.080549    0.263128   0.5912870"
    "    0.000120   -0.000168    0.000000    0.000000   0.0009962\n";

// kind: published; source: IERS 20 C04 at MJD 57754 and the columns of its
// records (shared checks section 9); the row of the day before and the rates
// are our own
// tolerance: rounding
TEST(EarthOrientationPublished, Series20AtTheLeapSecondOf2017) {
  const EarthOrientationProduct product = read(k20);
  EXPECT_EQ(product.series, "C04 20");
  ASSERT_EQ(product.rows.size(), 2U);
  const EarthOrientationRow& row = product.rows[1];
  EXPECT_EQ(format_utc(row.time), "2017-01-01T00:00:00Z");
  EXPECT_NEAR(row.value.x_pole_rad, 0.080549 * kArcsec, kRoundingRad);
  EXPECT_NEAR(row.value.y_pole_rad, 0.263128 * kArcsec, kRoundingRad);
  EXPECT_EQ(row.value.ut1_minus_utc_s, 0.5912870);
  EXPECT_EQ(row.lod_s, 0.0009962);

  EarthOrientationSeries series;
  ASSERT_TRUE(series.add(product));
  EXPECT_NEAR(series.at(row.time)->ut1_minus_utc_s, 0.5912870, kRoundingS);
  // The step is the leap second: an instant before it UT1-UTC is a second
  // less, the LOD of 1 ms a day aside.
  EXPECT_NEAR(series.at(row.time - Duration{1})->ut1_minus_utc_s,
              0.5912870 - 1,
              0.001 * 2 / 86'400);
}

// kind: published; source: IERS 14 C04 at MJD 57754 (shared checks section 9);
// columns as the header of a file of 2020 names them
// tolerance: rounding
TEST(EarthOrientationPublished, Series14AtTheLeapSecondOf2017) {
  const EarthOrientationProduct product = read(
      "2017   1   1  57754   0.080406   0.263110   0.5912977   0.0009962"
      "   0.000120  -0.000168   0.000057   0.000039  0.0000123  0.0000126"
      "    0.000044    0.000057\n");
  EXPECT_EQ(product.series, "C04 14");
  ASSERT_EQ(product.rows.size(), 1U);
  const EarthOrientationRow& row = product.rows[0];
  EXPECT_EQ(format_utc(row.time), "2017-01-01T00:00:00Z");
  EXPECT_NEAR(row.value.x_pole_rad, 0.080406 * kArcsec, kRoundingRad);
  EXPECT_NEAR(row.value.y_pole_rad, 0.263110 * kArcsec, kRoundingRad);
  EXPECT_EQ(row.value.ut1_minus_utc_s, 0.5912977);
  EXPECT_EQ(row.ut1_sigma_s, 0.0000123);
  EXPECT_TRUE(std::isnan(row.x_rate_rad_per_s));
}

}  // namespace
}  // namespace stillpoint::products

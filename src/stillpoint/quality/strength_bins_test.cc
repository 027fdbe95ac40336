#include "stillpoint/quality/strength_bins.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::quality {
namespace {

TEST(ElevationPlace, TenDegreesEachAndOneForTheUnknown) {
  const double deg = kElevationBinRad / 10;
  EXPECT_EQ(elevation_place(-5 * deg), 0U);
  EXPECT_EQ(elevation_place(9.99 * deg), 0U);
  EXPECT_EQ(elevation_place(10.01 * deg), 1U);
  EXPECT_EQ(elevation_place(89.99 * deg), 8U);
  EXPECT_EQ(elevation_place(90 * deg), 8U);
  EXPECT_EQ(elevation_place(std::nullopt), kUnknownElevation);
  EXPECT_EQ(elevation_place(std::nan("")), kUnknownElevation);
}

// kind: cross
// tolerance: mean exact to rounding; quantiles half a step of 0.25 dB
TEST(StrengthBins, MeanAndQuantilesOfEvenlySpreadValuesComeBack) {
  StrengthBins bins;
  for (int i = 0; i <= 1000; ++i) {
    bins.add(3, 40 + 0.01 * i);  // 40 .. 50
  }
  const auto f = bins.figures()[3];
  EXPECT_EQ(f.count, 1001U);
  EXPECT_NEAR(f.mean_dbhz, 45, 1e-9);
  EXPECT_NEAR(f.p05_dbhz, 40.5, 0.125);
  EXPECT_NEAR(f.p95_dbhz, 49.5, 0.125);
  EXPECT_EQ(bins.figures()[4].count, 0U);
  EXPECT_TRUE(std::isnan(bins.figures()[4].mean_dbhz));
}

TEST(StrengthBins, OneValueIsAllOfItsQuantiles) {
  StrengthBins bins;
  bins.add(0, 37.5);
  EXPECT_EQ(bins.figures()[0].p05_dbhz, 37.5);
  EXPECT_EQ(bins.figures()[0].p95_dbhz, 37.5);
}

TEST(StrengthBins, ValuesThatAreNoneAreLeftOut) {
  StrengthBins bins;
  bins.add(0, -1);
  bins.add(0, 80.5);
  bins.add(0, std::nan(""));
  EXPECT_EQ(bins.figures()[0].count, 0U);
  bins.add(0, 0);
  bins.add(0, 80);
  EXPECT_EQ(bins.figures()[0].count, 2U);
  EXPECT_EQ(bins.figures()[0].p05_dbhz, 0);
  EXPECT_EQ(bins.figures()[0].p95_dbhz, 80);
}

}  // namespace
}  // namespace stillpoint::quality

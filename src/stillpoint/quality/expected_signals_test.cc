#include "stillpoint/quality/expected_signals.h"

#include <gtest/gtest.h>

#include "stillpoint/quality/signals_test_support.h"

namespace stillpoint::quality {
namespace {

constexpr SatId kHigh{System::kGps, 3}, kLow{System::kGalileo, 30},
    kUnknown{System::kGps, 9};

// kind: cross
// tolerance: 1e-9 rad, rounding: the sky is made from these angles
TEST(ExpectedSignals, ElevationsAreThoseOfTheSky) {
  FixedSky sky;
  sky.elevation_rad = {{kHigh, rad(62)}, {kLow, rad(9.9)}};
  ExpectedSignals expected;
  expected.add(kSessionStart, kAntenna, sky);
  ASSERT_TRUE(expected.elevation_rad(kHigh));
  EXPECT_NEAR(*expected.elevation_rad(kHigh), rad(62), 1e-9);
  EXPECT_NEAR(*expected.elevation_rad(kLow), rad(9.9), 1e-9);
  EXPECT_FALSE(expected.elevation_rad(kUnknown));
}

TEST(ExpectedSignals, EpochsCountAboveTenDegreesOnly) {
  FixedSky sky;
  sky.elevation_rad = {{kHigh, rad(10.1)}, {kLow, rad(9.9)}};
  ExpectedSignals expected;
  expected.add(kSessionStart, kAntenna, sky);
  expected.add(kSessionStart + Duration{1}, kAntenna, sky, 25);
  EXPECT_EQ(expected.epochs(kHigh), 26U);
  EXPECT_EQ(expected.epochs(kLow), 0U);
  EXPECT_EQ(expected.epochs(kUnknown), 0U);
}

TEST(ExpectedSignals, ASatelliteThatRisesIsSeenWithinHalfAMinute) {
  FixedSky sky;
  sky.elevation_rad = {{kHigh, rad(5)}};
  ExpectedSignals expected;
  expected.add(kSessionStart, kAntenna, sky);
  sky.elevation_rad[kHigh] = rad(15);
  expected.add(kSessionStart + Duration{29}, kAntenna, sky);
  EXPECT_EQ(expected.epochs(kHigh), 0U);
  expected.add(kSessionStart + Duration{30}, kAntenna, sky);
  EXPECT_EQ(expected.epochs(kHigh), 1U);
}

TEST(ExpectedSignals, WithoutAPlaceNothingIsExpected) {
  FixedSky sky;
  sky.elevation_rad = {{kHigh, rad(50)}};
  ExpectedSignals expected;
  expected.add(kSessionStart, Ecef(), sky);
  EXPECT_FALSE(expected.elevation_rad(kHigh));
  EXPECT_EQ(expected.epochs(kHigh), 0U);
}

}  // namespace
}  // namespace stillpoint::quality

#include "stillpoint/models/gmf.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;

// kind: cross   source: definition of a mapping function
// tolerance: 1e-12 at the zenith, rounding
TEST(GlobalMapping, IsOneAtTheZenithAndGrowsTowardsTheHorizon) {
  for (int lat = -90; lat <= 90; lat += 15) {
    for (int week = 2300; week < 2352; week += 13) {
      for (const double height : {-500.0, 0.0, 3000.0, 9000.0}) {
        const auto m = GlobalMapping::at({lat * kDeg, 1, height},
                                         GnssTime::from_gps_week(week, 0));
        ASSERT_TRUE(m);
        const MappingFactors top = m->factors(kPi / 2);
        EXPECT_NEAR(top.hydrostatic, 1, 1e-12);
        EXPECT_NEAR(top.wet, 1, 1e-12);
        MappingFactors before = top;
        for (const double el : steps(89.5, 2, -0.5)) {
          const MappingFactors f = m->factors(el * kDeg);
          ASSERT_GT(f.hydrostatic, before.hydrostatic) << lat << " " << el;
          ASSERT_GT(f.wet, before.wet) << lat << " " << el;
          // A flat atmosphere without bending is the upper bound.
          ASSERT_LT(f.hydrostatic, 1 / std::sin(el * kDeg));
          ASSERT_LT(f.wet, 1 / std::sin(el * kDeg));
          before = f;
        }
      }
    }
  }
}

TEST(GlobalMapping, ClampsBelowTwoDegreesAndPastTheZenith) {
  const auto m =
      GlobalMapping::at({0.8, 0.2, 500}, GnssTime::from_gps_week(2311, 0));
  ASSERT_TRUE(m);
  const double lowest = m->factors(kLowestElevationRad).hydrostatic;
  EXPECT_EQ(m->factors(0).hydrostatic, lowest);
  EXPECT_EQ(m->factors(-1).hydrostatic, lowest);
  EXPECT_EQ(m->factors(1.7).wet, m->factors(kPi / 2).wet);
  EXPECT_NEAR(kLowestElevationRad, 2 * kDeg, 1e-15);
}

TEST(GlobalMapping, RefusesWhatGptRefuses) {
  const auto m =
      GlobalMapping::at({0.8, 0.2, 20'000}, GnssTime::from_gps_week(2311, 0));
  ASSERT_FALSE(m);
  EXPECT_EQ(m.error().code, ErrorCode::kOutOfRange);
}

}  // namespace
}  // namespace stillpoint::models

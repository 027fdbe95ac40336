#include "stillpoint/models/pierce_point.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;

TEST(PiercePoint, IsOverheadForTheZenith) {
  const PiercePoint p = pierce_point({0.7, 1.2, 0}, {0.3, kPi / 2}, 0.93);
  EXPECT_NEAR(p.lat_rad, 0.7, 1e-12);
  EXPECT_NEAR(p.lon_rad, 1.2, 1e-12);
}

// kind: cross   source: the same point by vectors: walk along the ray on a
// unit sphere of the Earth until the radius is 1/ratio
// tolerance: 1e-9 rad (6 mm), rounding of arc sines; not over the poles, where
// the sources' longitude folds back
TEST(PiercePoint, AgreesWithTheRayInSpace) {
  const double ratio = 6371.0 / 6821.0;
  for (const double lat : steps(-1.2, 1.2, 0.4)) {
    for (const double azimuth : steps(0, 6.2, 0.5)) {
      for (const double el : steps(0.1, 1.5, 0.3)) {
        const PiercePoint p = pierce_point({lat, 0.4, 0}, {azimuth, el}, ratio);
        const double length =
            -std::sin(el) +
            std::sqrt(1 / (ratio * ratio) - std::cos(el) * std::cos(el));
        const double e = length * std::cos(el) * std::sin(azimuth);
        const double n = length * std::cos(el) * std::cos(azimuth);
        const double u = 1 + length * std::sin(el);
        const double x = u * std::cos(lat) - n * std::sin(lat);
        const double z = u * std::sin(lat) + n * std::cos(lat);
        EXPECT_NEAR(p.lat_rad, std::asin(z * ratio), 1e-9);
        EXPECT_NEAR(p.lon_rad, 0.4 + std::atan2(e, x), 1e-9);
      }
    }
  }
}

TEST(PiercePoint, IsFiniteAtThePoles) {
  for (const double lat : {-kPi / 2, kPi / 2}) {
    for (const double azimuth : steps(0, 6.3, kPi / 4)) {
      const PiercePoint p = pierce_point({lat, 0, 0}, {azimuth, 0}, 0.93);
      EXPECT_TRUE(std::isfinite(p.lat_rad) && std::isfinite(p.lon_rad));
      const PiercePoint up =
          pierce_point({lat, 0, 0}, {azimuth, kPi / 2}, 0.93);
      EXPECT_TRUE(std::isfinite(up.lat_rad) && std::isfinite(up.lon_rad));
    }
  }
}

}  // namespace
}  // namespace stillpoint::models

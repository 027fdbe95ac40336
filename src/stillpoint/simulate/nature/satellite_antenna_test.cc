#include "stillpoint/simulate/nature/satellite_antenna.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// kind: cross
// tolerance: 1e-9 m: z looks at the Earth, so that 2 m along it bring the place
// of emission 2 m nearer to the Earth's centre
TEST(AntennaOffset, AlongZLeadsTowardsTheEarth) {
  const Ecef satellite{26.56e6, 0, 0}, velocity{0, 3000, 1500};
  const BodyAxes axes = axes_at_yaw(satellite, velocity, 0.3);
  const SatelliteAntenna antenna{0.4, 0, 2.0, {}};
  const Ecef offset = antenna_offset_m(antenna, axes);
  EXPECT_NEAR(offset.x_m, -2.0, 1e-9);
  EXPECT_NEAR(norm(offset), std::hypot(2.0, 0.4), 1e-9);
  EXPECT_NEAR(dot(offset, axes.x), 0.4, 1e-9);
}

// kind: published   source: ANTEX 1.4, sign of the offset: projected on the
// line of sight it shortens the range (shared checks section 7, from memory)
// tolerance: 1e-6 m: the curvature of the wave over 2 m is 1e-7 m
TEST(AntennaOffset, ShortensTheRangeByItsProjection) {
  const Ecef satellite{15e6, 18e6, 12e6}, velocity{-1500, 2000, -800};
  const Ecef receiver{4027894, 307045, 4919475};
  const BodyAxes axes = axes_at_yaw(satellite, velocity, 1.1);
  const SatelliteAntenna antenna{0.39, -0.1, 1.5, {}};
  const Ecef offset = antenna_offset_m(antenna, axes);
  const Ecef ray = unit(receiver - satellite);
  EXPECT_NEAR(norm(receiver - satellite - offset),
              norm(receiver - satellite) - dot(offset, ray),
              1e-6);
  EXPECT_GT(dot(offset, ray), 1.3);
}

// kind: published   source: largest nadir angle of a GPS satellite, about 14
// degrees: asin(6378 / 26560) = 13.89 deg (any handbook)
// tolerance: 0.01 deg, the printed digits
TEST(NadirAngle, IsFourteenDegreesAtTheEdgeOfTheEarth) {
  const double y = std::sqrt(26560e3 * 26560e3 - 6378e3 * 6378e3);
  EXPECT_NEAR(
      nadir_angle_rad({6378e3, y, 0}, {6378e3, 0, 0}) / kDeg, 13.89, 0.01);
  EXPECT_NEAR(nadir_angle_rad({26560e3, 0, 0}, {6378e3, 0, 0}), 0, 1e-15);
}

// kind: cross
// tolerance: 1e-15 m, by hand: at 7 deg cos is 0, -1, 0; at 14 deg -1, 1, -1
TEST(NadirVariation, IsTheClosedFormWorkedByHand) {
  const SatelliteAntenna antenna{0, 0, 0, {0.004, 0.002, -0.001}};
  EXPECT_NEAR(nadir_variation_m(antenna, 0), 0, 1e-15);
  EXPECT_NEAR(
      nadir_variation_m(antenna, 7 * kDeg), -0.004 - 0.004 + 0.001, 1e-15);
  EXPECT_NEAR(nadir_variation_m(antenna, 14 * kDeg), -0.008 + 0.002, 1e-15);
  const auto samples = sample_nadir(antenna);
  EXPECT_NEAR(samples[7], -0.007, 1e-15);
}

}  // namespace
}  // namespace stillpoint::simulate

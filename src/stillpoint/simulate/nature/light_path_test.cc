#include "stillpoint/simulate/nature/light_path.h"

#include <gtest/gtest.h>

namespace stillpoint::simulate {
namespace {

constexpr double kRadiusM = 26.56e6;
constexpr double kSatelliteRate = 1.4585e-4;  // [rad/s]
const Ecef kReceiver{4027894, 307045, 4919475};

// A circular orbit, inclined by 55 degrees, in axes fixed in space that agree
// with the Earth's at second 0.
Ecef in_space(double s) {
  const double u = 0.4 + kSatelliteRate * s;
  const double ci = std::cos(0.96), si = std::sin(0.96);
  return {kRadiusM * std::cos(u),
          kRadiusM * std::sin(u) * ci,
          kRadiusM * std::sin(u) * si};
}

// kind: cross
// tolerance: 1e-6 m, the rounding of 2e7 m and 3e-5 m/s times 1e-13 s. In axes
// fixed in space light goes straight from where the satellite was.
TEST(LightPath, IsTheStraightLineInSpace) {
  const auto orbit = [](double s) { return turn_axes(in_space(s), s); };
  const Path path = light_path(orbit, kReceiver);
  const Ecef start = in_space(-path.flight_s);
  EXPECT_NEAR(path.range_m, norm(start - kReceiver), 1e-6);
  EXPECT_NEAR(path.flight_s * kSpeedOfLightMps, path.range_m, 1e-4);
  EXPECT_NEAR(norm(path.satellite_m - start), 0, 1e-6);
  EXPECT_GT(path.flight_s, 0.06);
  EXPECT_LT(path.flight_s, 0.1);
}

// kind: published   source: the Sagnac term, rate (x_s y_r - y_s x_r) / c
// (IS-GPS-200, 20.3.3.4.3.4; closed form from any textbook)
// tolerance: 1e-3 m: terms of second order in the angle turned (5e-6 rad)
TEST(LightPath, LengthensByTheSagnacTerm) {
  const Ecef fixed{15e6, 18e6, 12e6};  // stands still over the Earth
  const auto orbit = [&](double) { return fixed; };
  const Path path = light_path(orbit, kReceiver);
  const double sagnac_m =
      kEarthRateRadps *
      (fixed.x_m * kReceiver.y_m - fixed.y_m * kReceiver.x_m) /
      kSpeedOfLightMps;
  EXPECT_GT(std::abs(sagnac_m), 10);
  EXPECT_NEAR(path.range_m, norm(fixed - kReceiver) + sagnac_m, 1e-3);
}

// kind: cross
// tolerance: 1e-6 m: a quarter turn of the Earth takes x to -y
TEST(TurnAxes, CarriesAVectorAgainstTheTurn) {
  const double quarter_s = 1.5707963267948966 / kEarthRateRadps;
  const Ecef v = turn_axes({1e7, 0, 5}, quarter_s);
  EXPECT_NEAR(v.x_m, 0, 1e-6);
  EXPECT_NEAR(v.y_m, -1e7, 1e-6);
  EXPECT_NEAR(v.z_m, 5, 0);
}

}  // namespace
}  // namespace stillpoint::simulate

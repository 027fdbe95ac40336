#include "stillpoint/simulate/nature/multipath.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr double kWavelengthM = 0.19029367;
const AntennaGain kEvenGain{0, 0};
const TrackingLoops kLoops;

ReflectingPlane ground(double height_m) {
  ReflectingPlane p;
  p.normal_elev_rad = kPi / 2;
  p.distance_m = height_m;
  p.coefficient = 0.5;
  return p;
}

ReflectingPlane wall(double normal_azimuth_deg, double distance_m) {
  ReflectingPlane p;
  p.normal_azimuth_rad = normal_azimuth_deg * kDeg;
  p.distance_m = distance_m;
  p.coefficient = 0.5;
  return p;
}

// kind: published   source: path difference 2 h sin e over level ground (any
// textbook on multipath)
// tolerance: 1e-12 m
TEST(Reflect, OverLevelGroundIsTwiceTheHeightTimesTheSine) {
  for (const double el_deg : {5.0, 30.0, 75.0}) {
    const Reflection r = reflect(ground(1.8), {2.0, el_deg * kDeg}, kEvenGain);
    EXPECT_NEAR(r.path_m, 2 * 1.8 * std::sin(el_deg * kDeg), 1e-12);
    EXPECT_NEAR(r.amplitude, 0.5, 1e-12);
    EXPECT_NEAR(r.ray.azimuth_rad, 2.0, 1e-12);
    EXPECT_NEAR(r.ray.elevation_rad, -el_deg * kDeg, 1e-12);
  }
}

// kind: cross
// tolerance: 1e-5 m: the length of the broken line over the point of
// reflection, for a satellite 1e7 m away, whose rays are 4e-6 m from parallel
TEST(Reflect, IsTheLengthOfTheBrokenLine) {
  ReflectingPlane roof = wall(300, 6);
  roof.normal_elev_rad = 65 * kDeg;
  const AzEl satellite{250 * kDeg, 40 * kDeg};
  const Reflection r = reflect(roof, satellite, kEvenGain);
  ASSERT_GT(r.amplitude, 0);
  const auto vec = [](const AzEl& d, double length) {
    return Ecef{length * std::cos(d.elevation_rad) * std::sin(d.azimuth_rad),
                length * std::cos(d.elevation_rad) * std::cos(d.azimuth_rad),
                length * std::sin(d.elevation_rad)};
  };
  const Ecef normal = vec({300 * kDeg, 65 * kDeg}, 1);
  const Ecef ray = vec(r.ray, 1);
  // The plane is 6 m from the antenna against the normal.
  const double to_plane = -6 / dot(normal, ray);
  EXPECT_GT(to_plane, 0);
  const Ecef point = to_plane * ray;
  const Ecef far = vec(satellite, 1e7);
  EXPECT_NEAR(norm(far - point) + norm(point) - norm(far), r.path_m, 1e-5);
}

TEST(Reflect, NeedsTheSatelliteBeforeThePlaneAndTheRayInTheWindow) {
  // A wall to the north; its normal points south to the antenna.
  ReflectingPlane north_wall = wall(180, 8);
  const AzEl south{170 * kDeg, 30 * kDeg}, behind{10 * kDeg, 30 * kDeg};
  EXPECT_GT(reflect(north_wall, south, kEvenGain).amplitude, 0);
  EXPECT_EQ(reflect(north_wall, behind, kEvenGain).amplitude, 0);
  // The ray comes from azimuth 10 degrees at elevation 30.
  north_wall.first_azimuth_rad = 350 * kDeg;
  north_wall.last_azimuth_rad = 20 * kDeg;
  EXPECT_GT(reflect(north_wall, south, kEvenGain).amplitude, 0);
  north_wall.last_azimuth_rad = 5 * kDeg;
  EXPECT_EQ(reflect(north_wall, south, kEvenGain).amplitude, 0);
  north_wall.last_azimuth_rad = 20 * kDeg;
  north_wall.highest_elev_rad = 25 * kDeg;
  EXPECT_EQ(reflect(north_wall, south, kEvenGain).amplitude, 0);
}

// kind: cross
// tolerance: 1e-12: at 0 degrees both rays come at the horizon; straight above
// the ray comes from the nadir, 20 dB weaker
TEST(Reflect, WeighsTheRayByTheAntennasGain) {
  const AntennaGain gain{-8, -20};
  EXPECT_NEAR(reflect(ground(2), {0, 1e-9}, gain).amplitude, 0.5, 1e-7);
  EXPECT_NEAR(reflect(ground(2), {0, kPi / 2}, gain).amplitude, 0.05, 1e-12);
}

// A reflection whose phase psi behind the direct ray is given.
Reflection with_lag(double amplitude, double path_m, double psi) {
  return {path_m, amplitude, 2 * kPi * path_m / kWavelengthM - psi, {}};
}

// kind: published   source: phase error atan(a sin psi / (1 + a cos psi)), at
// most a quarter of a cycle (any textbook on multipath)
// tolerance: 1e-12 m. The path is short, but its correlation counts.
TEST(PhaseError, IsTheTextbookFormulaAndBounded) {
  const double path_m = 2;
  const double seen = 1 - path_m / kLoops.chip_m;
  double worst = 0;
  for (int deg = 0; deg < 360; deg += 5) {
    const double psi = deg * kDeg;
    const std::array rays{with_lag(0.6, path_m, psi)};
    const double a = 0.6 * seen;
    const double expected =
        kWavelengthM / (2 * kPi) *
        std::atan(a * std::sin(psi) / (1 + a * std::cos(psi)));
    const double got = phase_error_m(rays, kWavelengthM, kLoops);
    EXPECT_NEAR(got, expected, 1e-12);
    const std::array strong{with_lag(0.999, 0.01, psi)};
    worst =
        std::max(worst, std::abs(phase_error_m(strong, kWavelengthM, kLoops)));
    const double change = strength_change_db(rays, kWavelengthM, kLoops);
    const double length2 = 1 + 2 * a * std::cos(psi) + a * a;
    EXPECT_NEAR(change, 10 * std::log10(length2), 1e-9);
  }
  EXPECT_LT(worst, kWavelengthM / 4);
  EXPECT_GT(worst, 0.2 * kWavelengthM);
}

// kind: cross
// tolerance: 1e-3 m, a hundred times the width at which the search stops. By
// hand for one ray in phase or opposite: near paths a d / (1 + a) and -a d / (1
// - a); beyond (1 +- a) spacing / 2 the plateau of +-a spacing / 2.
TEST(CodeError, IsTheEnvelopeWorkedByHand) {
  const double a = 0.4;
  const double half_m = kLoops.chip_m * kLoops.spacing_chips / 2;
  const auto error = [&](double path_m, double psi) {
    const std::array rays{with_lag(a, path_m, psi)};
    return code_error_m(rays, kWavelengthM, kLoops);
  };
  EXPECT_NEAR(error(3, 0), a * 3 / (1 + a), 1e-3);
  EXPECT_NEAR(error(3, kPi), -a * 3 / (1 - a), 1e-3);
  EXPECT_NEAR(error(60, 0), a * half_m, 1e-3);
  EXPECT_NEAR(error(60, kPi), -a * half_m, 1e-3);
  // More than a chip and a half of the spacing away: nothing.
  EXPECT_NEAR(error(1.1 * kLoops.chip_m, 0), 0, 1e-3);
  EXPECT_NEAR(code_error_m({}, kWavelengthM, kLoops), 0, 1e-3);
}

// kind: cross
// tolerance: 1e-3 m, as above; near rays: (a d (a + cos psi)) / (1 + 2 a cos
// psi + a^2), the derivative of the sum's phase by the frequency
TEST(CodeError, IsTheGroupDelayForNearRays) {
  for (int deg = 0; deg < 360; deg += 15) {
    const double psi = deg * kDeg, a = 0.3, path_m = 0.5;
    const std::array rays{with_lag(a, path_m, psi)};
    const double expected =
        a * path_m * (a + std::cos(psi)) / (1 + 2 * a * std::cos(psi) + a * a);
    EXPECT_NEAR(code_error_m(rays, kWavelengthM, kLoops), expected, 1e-3)
        << deg;
  }
}

TEST(CodeError, NeverLeavesHalfTheSpacing) {
  const double half_m = kLoops.chip_m * kLoops.spacing_chips / 2;
  for (int i = 0; i < 500; ++i) {
    const std::array rays{with_lag(0.9, 0.7 * i, 0.37 * i),
                          with_lag(0.8, 0.3 * i, 1.91 * i)};
    const double e = code_error_m(rays, kWavelengthM, kLoops);
    EXPECT_LE(std::abs(e), half_m * (1 + 1e-12));
  }
}

}  // namespace
}  // namespace stillpoint::simulate

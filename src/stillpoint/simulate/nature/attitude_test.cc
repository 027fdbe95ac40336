#include "stillpoint/simulate/nature/attitude.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/light_path.h"
#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr double kRadiusM = 26.56e6;
constexpr double kSpeedMps = 3874;

struct State {
  Ecef position, velocity, sun;
};

// A circular orbit in the plane z = 0, the Sun `beta` above it on the side of
// -x, so that the angle from orbit midnight is that from the x axis. Velocity
// as seen from the turning Earth.
State state_at(double mu, double beta) {
  const Ecef r{kRadiusM * std::cos(mu), kRadiusM * std::sin(mu), 0};
  const Ecef v{-kSpeedMps * std::sin(mu), kSpeedMps * std::cos(mu), 0};
  const Ecef turning{
      v.x_m + kEarthRateRadps * r.y_m, v.y_m - kEarthRateRadps * r.x_m, 0};
  return {r, turning, {-1.5e11 * std::cos(beta), 0, 1.5e11 * std::sin(beta)}};
}

// kind: published   source: nominal yaw atan2(-tan beta, sin mu): Kouba, GPS
// Solutions 13 (2009), eq. 1 (from memory)
// tolerance: 1e-12 rad, the same angle by other vectors
TEST(SunAngles, AreBetaMuAndTheNominalYaw) {
  for (int mu = -170; mu <= 180; mu += 10) {
    for (const double beta : {-60.0, -5.0, 0.5, 23.0, 75.0}) {
      const State s = state_at(mu * kDeg, beta * kDeg);
      const SunAngles a = sun_angles(s.position, s.velocity, s.sun);
      EXPECT_NEAR(a.beta_rad, beta * kDeg, 1e-12);
      EXPECT_NEAR(std::remainder(a.orbit_rad - mu * kDeg, 2 * kPi), 0, 1e-12);
      const double yaw =
          std::atan2(-std::tan(beta * kDeg), std::sin(mu * kDeg));
      EXPECT_NEAR(std::remainder(a.yaw_rad - yaw, 2 * kPi), 0, 1e-12);
    }
  }
}

// kind: cross
// tolerance: 1e-12: unit vectors at right angles, right-handed, z to the Earth;
// y along z x Sun, by a cross product that the yaw angle does not use
TEST(YawSteering, HoldsThePanelsAcrossTheSun) {
  for (int mu = -175; mu <= 180; mu += 15) {
    const State s = state_at(mu * kDeg, 12 * kDeg);
    const BodyAxes b = yaw_steering_axes(s.position, s.velocity, s.sun);
    EXPECT_NEAR(norm(b.x), 1, 1e-12);
    EXPECT_NEAR(norm(b.y), 1, 1e-12);
    EXPECT_NEAR(dot(b.x, b.y), 0, 1e-12);
    EXPECT_NEAR(norm(cross(b.x, b.y) - b.z), 0, 1e-12);
    EXPECT_NEAR(norm(b.z + unit(s.position)), 0, 1e-12);
    const Ecef to_sun = unit(s.sun - s.position);
    EXPECT_NEAR(norm(b.y - unit(cross(b.z, to_sun))), 0, 1e-12);
    EXPECT_GT(dot(b.x, to_sun), 0);
  }
}

// kind: cross
// tolerance: 1e-12, by hand: satellite on the x axis moving along y, z down,
// so that x of yaw 0 is along y and y of yaw 0 along -z
TEST(AxesAtYaw, AreTheOrbitsAxesWorkedByHand) {
  const State s = state_at(0, 0);
  const BodyAxes zero = axes_at_yaw(s.position, s.velocity, 0);
  EXPECT_NEAR(zero.x.y_m, 1, 1e-12);
  EXPECT_NEAR(zero.y.z_m, -1, 1e-12);
  EXPECT_NEAR(zero.z.x_m, -1, 1e-12);
  const BodyAxes quarter = axes_at_yaw(s.position, s.velocity, kPi / 2);
  EXPECT_NEAR(norm(quarter.x - zero.y), 0, 1e-12);
  EXPECT_NEAR(norm(quarter.y + zero.x), 0, 1e-12);
}

TEST(YawSteering, IsDefinedAtOrbitMidnightUnderTheSun) {
  const State s = state_at(0, 0);
  const SunAngles a = sun_angles(s.position, s.velocity, s.sun);
  EXPECT_TRUE(std::isfinite(a.yaw_rad));
  const BodyAxes b = yaw_steering_axes(s.position, s.velocity, s.sun);
  EXPECT_TRUE(std::isfinite(norm(b.x)));
}

}  // namespace
}  // namespace stillpoint::simulate

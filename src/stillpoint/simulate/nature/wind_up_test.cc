#include "stillpoint/simulate/nature/wind_up.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
// A receiver at latitude 0, longitude 0: up x, east y, north z.
const Ecef kReceiver{6.378e6, 0, 0};
const Ecef kOverhead{26.56e6, 0, 0};
const Ecef kMotion{0, 2000, 3000};

// The level frame of a receiver whose north mark points to an azimuth.
Mat3 frame_at(double azimuth_rad) {
  const double c = std::cos(azimuth_rad), s = std::sin(azimuth_rad);
  // Rows: right of the mark, the mark, up.
  return {0, c, -s, 0, s, c, 1, 0, 0};
}

double overhead(double yaw, double receiver_azimuth, double previous) {
  return wind_up_cyc(axes_at_yaw(kOverhead, kMotion, yaw),
                     kOverhead,
                     kReceiver,
                     frame_at(receiver_azimuth),
                     previous);
}

// kind: published   source: Wu et al., Manuscripta Geodaetica 18 (1993), p. 91:
// a full turn of an antenna is one cycle (from memory). The sign by hand: a
// right-handed wave turns clockwise seen along its way, that is clockwise seen
// from above; a receiver that turns with it falls behind a cycle a turn, and
// its phase range grows.
// tolerance: 1e-12 cycles
TEST(WindUp, AddsACycleForATurnOfTheReceiver) {
  const double start = overhead(0.2, 0, 0);
  double value = start;
  for (int deg = 10; deg <= 720; deg += 10) {
    value = overhead(0.2, deg * kDeg, value);
    EXPECT_NEAR(value - start, deg / 360.0, 1e-12);
  }
}

// kind: cross
// tolerance: 1e-12 cycles. A turn of the satellite from x to y is, seen along
// the ray, the same turn the other end of the ray would make.
TEST(WindUp, TakesACycleAwayForATurnOfTheSatellite) {
  const double start = overhead(0, 0, 0);
  double value = start;
  for (int deg = 10; deg <= 360; deg += 10) {
    value = overhead(deg * kDeg, 0, value);
    EXPECT_NEAR(value - start, -deg / 360.0, 1e-12);
  }
}

// kind: cross
// tolerance: 1e-12 cycles, by hand: satellite overhead, its x towards north: no
// turn; towards east: the receiver is a quarter turn behind
TEST(WindUp, IsNothingForAntennasThatAgree) {
  const Ecef north{0, 0, 1}, east{0, 1, 0}, down{-1, 0, 0};
  // x, y, z right-handed with z down: north, east, down.
  const BodyAxes agree{north, east, down};
  EXPECT_NEAR(
      wind_up_cyc(agree, kOverhead, kReceiver, frame_at(0), 0), 0, 1e-12);
  const BodyAxes to_east{east, -1.0 * north, down};
  EXPECT_NEAR(
      wind_up_cyc(to_east, kOverhead, kReceiver, frame_at(0), 0), -0.25, 1e-12);
}

TEST(WindUp, StaysWithinHalfACycleOfTheValueBefore) {
  const double near_zero = overhead(1.0, 0, 0);
  EXPECT_LE(std::abs(near_zero), 0.5);
  for (const double before : {-7.3, -0.5, 0.49, 12.0, 40.6}) {
    const double value = overhead(1.0, 0, before);
    EXPECT_LE(std::abs(value - before), 0.5);
    const double whole = value - near_zero;
    EXPECT_LT(std::abs(whole - std::round(whole)), 1e-9);
  }
}

}  // namespace
}  // namespace stillpoint::simulate

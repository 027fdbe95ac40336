#include "stillpoint/simulate/nature/relativity.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

// kind: published   source: IS-GPS-200, 20.3.3.3.3.1: F e sqrt(A) sin E with F
// = -4.442807633e-10 s/sqrt(m) (value from shared checks section 3.1)
// tolerance: 1e-8 of the amplitude: the constant's digits
TEST(PeriodicClock, IsTheBroadcastFormulaOnAKeplerOrbit) {
  constexpr double kGm = 3.986005e14;
  const double a = 26'560'000, e = 0.02;
  const double n = std::sqrt(kGm / a) / a;
  for (const double ecc_anomaly : {0.0, 0.7, 1.6, 3.0, 5.1}) {
    const double c = std::cos(ecc_anomaly), s = std::sin(ecc_anomaly);
    const double root = std::sqrt(1 - e * e);
    const double rate = n / (1 - e * c);
    const Ecef r{a * (c - e), a * root * s, 0};
    const Ecef v{-a * s * rate, a * root * c * rate, 0};
    const double amplitude = 4.442807633e-10 * e * std::sqrt(a);
    EXPECT_NEAR(periodic_clock_s(r, v), -amplitude * s, 1e-8 * amplitude);
  }
}

// kind: cross
// tolerance: 1e-24 s: turning with the Earth is at right angles to the place
TEST(PeriodicClock, IsTheSameInTheTurningFrame) {
  const Ecef r{15e6, -20e6, 9e6}, v{1500, 2500, -800};
  const double rate = 7.292115e-5;
  const Ecef turning{v.x_m + rate * r.y_m, v.y_m - rate * r.x_m, v.z_m};
  EXPECT_NEAR(periodic_clock_s(r, v), periodic_clock_s(r, turning), 1e-20);
}

// kind: cross
// tolerance: 1e-7 m. Straight overhead the argument is r_sat / r_rec.
TEST(Shapiro, IsTheLogarithmOfTheRadiiOverhead) {
  const Ecef satellite{26.56e6, 0, 0}, receiver{6.378e6, 0, 0};
  const double expected = 2 * 3.986004418e14 / (299792458.0 * 299792458.0) *
                          std::log(26.56 / 6.378);
  EXPECT_NEAR(shapiro_m(satellite, receiver), expected, 1e-7);
  EXPECT_NEAR(expected, 0.01265, 1e-5);
}

// kind: published   source: "up to about 2 cm" for navigation satellites,
// common practice, no source
TEST(Shapiro, IsAboutTwoCentimetresAtTheHorizon) {
  const Ecef receiver{6.378e6, 0, 0};
  const double y = std::sqrt(26.56e6 * 26.56e6 - 6.378e6 * 6.378e6);
  const double at_horizon = shapiro_m({6.378e6, y, 0}, receiver);
  EXPECT_GT(at_horizon, 0.018);
  EXPECT_LT(at_horizon, 0.020);
}

}  // namespace
}  // namespace stillpoint::simulate

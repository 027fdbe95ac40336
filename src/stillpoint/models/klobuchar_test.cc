#include "stillpoint/models/klobuchar.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
// Parameters of an ordinary day, invented within the usual range.
constexpr Klobuchar kUsual{{1.2e-8, 7.5e-9, -6.0e-8, -6.0e-8},
                           {9.0e4, 0, -1.97e5, -6.5e4}};

GnssTime at_s(double second_of_week) {
  return GnssTime::from_gps_week(2200, second_of_week);
}

// kind: cross   source: definition, the delay goes with 1/f^2
// tolerance: 1e-12 m, one multiplication apart
TEST(KlobucharDelay, ScalesWithTheSquareOfTheFrequency) {
  const Geodetic site{47 * kDeg, 9 * kDeg, 500};
  const AzEl up{1, 0.8};
  const double l1_m = klobuchar_delay_m(kUsual, site, up, at_s(45'000));
  const double l5_m =
      klobuchar_delay_m(kUsual, site, up, at_s(45'000), 1'176'450'000);
  EXPECT_NEAR(l5_m, l1_m * std::pow(154.0 / 115.0, 2), 1e-12);
}

// kind: cross   source: the model is a function of local time of day; GPS
// midnight is nothing special, and neither is the end of the week
// tolerance: 1 cm over 2 s, the steepest slope is 1 mm/s
TEST(KlobucharDelay, GoesOnOverTheDayBorder) {
  for (int lon_deg = -180; lon_deg <= 180; lon_deg += 15) {
    const Geodetic site{20 * kDeg, lon_deg * kDeg, 0};
    for (const double border_s : {86'400.0, 604'800.0}) {
      const AzEl up{2, 0.6};
      EXPECT_NEAR(klobuchar_delay_m(kUsual, site, up, at_s(border_s - 1)),
                  klobuchar_delay_m(kUsual, site, up, at_s(border_s + 1)),
                  0.01)
          << lon_deg;
      EXPECT_NEAR(
          beidou_klobuchar_delay_m(kUsual, site, up, at_s(border_s - 1)),
          beidou_klobuchar_delay_m(kUsual, site, up, at_s(border_s + 1)),
          0.01)
          << lon_deg;
    }
  }
}

// kind: cross   source: definition of the night value, 5 ns at the zenith
// tolerance: 1e-3 relative, the slant factor at the zenith is 1.000432
TEST(KlobucharDelay, IsFiveNanosecondsAtNight) {
  const Geodetic site{0, 0, 0};
  const AzEl up{0, kPi / 2};
  const double night_m = 5e-9 * kSpeedOfLightMps;
  EXPECT_NEAR(
      klobuchar_delay_m(kUsual, site, up, at_s(7200)), night_m, 1e-3 * night_m);
  EXPECT_NEAR(beidou_klobuchar_delay_m(kUsual, site, up, at_s(7200)),
              night_m,
              1e-3 * night_m);
}

// kind: cross   source: definition; every input that is a direction and a
// place gives a number of the order of metres, poles and horizon included
TEST(KlobucharDelay, IsFiniteEverywhere) {
  for (int lat = -90; lat <= 90; lat += 15) {
    for (int lon = -180; lon <= 180; lon += 60) {
      for (int azimuth = 0; azimuth < 360; azimuth += 45) {
        for (const int el : {-90, -20, 0, 1, 5, 30, 90}) {
          const Geodetic site{lat * kDeg, lon * kDeg, 0};
          const AzEl direction{azimuth * kDeg, el * kDeg};
          for (const double s : {0.0, 43'200.0, 604'799.0}) {
            const double gps_m =
                klobuchar_delay_m(kUsual, site, direction, at_s(s));
            const double beidou_m =
                beidou_klobuchar_delay_m(kUsual, site, direction, at_s(s));
            ASSERT_TRUE(gps_m > 1 && gps_m < 100) << gps_m;
            ASSERT_TRUE(beidou_m > 1 && beidou_m < 100) << beidou_m;
          }
        }
      }
    }
  }
}

// kind: cross   source: the two models differ in geometry only; with
// parameters that do not depend on latitude they must agree to their
// approximations of mapping and pierce point
// tolerance: 6 % of the delay from 20 degrees up, the two mapping functions
// differ by 4 % there (GPS's is an approximation, shells 350 and 375 km)
TEST(BeidouKlobuchar, AgreesWithTheGpsModelForEvenParameters) {
  const Klobuchar even{{2.0e-8, 0, 0, 0}, {100'000, 0, 0, 0}};
  for (int el = 20; el <= 90; el += 10) {
    for (int azimuth = 0; azimuth < 360; azimuth += 30) {
      const Geodetic site{40 * kDeg, 100 * kDeg, 0};
      const AzEl direction{azimuth * kDeg, el * kDeg};
      for (const double s : steps(0, 86'400, 7200)) {
        const double gps_m = klobuchar_delay_m(
            even, site, direction, at_s(s), kBeidouKlobucharHz);
        // Both in B1I's 5 ns and amplitude: undo the scaling of GPS's L1.
        const double ratio = kKlobucharHz / kBeidouKlobucharHz;
        const double beidou_m =
            beidou_klobuchar_delay_m(even, site, direction, at_s(s));
        EXPECT_NEAR(gps_m / (ratio * ratio), beidou_m, 0.06 * beidou_m + 0.1)
            << el << " " << azimuth << " " << s;
      }
    }
  }
}

}  // namespace
}  // namespace stillpoint::models

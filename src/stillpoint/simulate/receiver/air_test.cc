#include "stillpoint/simulate/receiver/air.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/simulate/simulate_test_support.h"

namespace stillpoint::simulate {
namespace {

constexpr int kSeeds = 2000;

Scenario world(double mean_hpa) {
  Scenario s = test::small_world(test::only(Effect::kTroposphere));
  s.weather.pressure_hpa = mean_hpa;
  return s;
}

Atmosphere air_at(Scenario& s, int seed, double t_s) {
  s.seed = static_cast<std::uint64_t>(seed);
  return air_over(s, s.receivers.front().marker, t_s);
}

// kind: cross   source: the sizes of air.h; a hectopascal is 2.277 mm of zenith
// delay at this place (Saastamoinen 1972, checked in troposphere_test.cc)
// tolerance: four standard deviations of 2000 values: 9 % of a sigma for the
// means, 6.3 % for the sigmas
TEST(Air, PressureAndMappingScatterAboutTheirMeansBySeed) {
  Scenario s = world(955.5);
  const Geodetic& place = s.receivers.front().marker;
  const double mean_m =
      zenith_hydrostatic_m(955.5, place.lat_rad, place.height_m);
  const double size_m = zenith_hydrostatic_m(7, place.lat_rad, place.height_m);
  double zenith = 0, zenith_square = 0, ah = 0, ah_square = 0, both = 0;
  for (int i = 0; i < kSeeds; ++i) {
    const Atmosphere air = air_at(s, i, 1800);
    const double a = (air.zenith_hydrostatic_m - mean_m) / size_m;
    const double b = (air.ah - 0.00125) / 0.0000125;
    zenith += a / kSeeds;
    zenith_square += a * a / kSeeds;
    ah += b / kSeeds;
    ah_square += b * b / kSeeds;
    both += a * b / kSeeds;
  }
  EXPECT_NEAR(zenith, 0, 0.09);
  EXPECT_NEAR(std::sqrt(zenith_square), 1, 0.063);
  EXPECT_NEAR(ah, 0, 0.09);
  EXPECT_NEAR(std::sqrt(ah_square), 1, 0.063);
  // Of one another they know nothing.
  EXPECT_NEAR(both, 0, 0.09);
}

// kind: cross   source: correlations of Gauss-Markov processes six hours apart
// with memories of four days and of one: exp(-1/16), exp(-1/4)
// tolerance: 0.09, four standard deviations of 2000 products
TEST(Air, PressureAndMappingStayForTheirTimes) {
  Scenario s = world(955.5);
  const Geodetic& place = s.receivers.front().marker;
  const double mean_m =
      zenith_hydrostatic_m(955.5, place.lat_rad, place.height_m);
  const double size_m = zenith_hydrostatic_m(7, place.lat_rad, place.height_m);
  double zenith = 0, ah = 0;
  for (int i = 0; i < kSeeds; ++i) {
    const Atmosphere now = air_at(s, i, 0), later = air_at(s, i, 21'600);
    zenith += (now.zenith_hydrostatic_m - mean_m) *
              (later.zenith_hydrostatic_m - mean_m) /
              (size_m * size_m * kSeeds);
    ah += (now.ah - 0.00125) * (later.ah - 0.00125) /
          (0.0000125 * 0.0000125 * kSeeds);
  }
  EXPECT_NEAR(zenith, std::exp(-1.0 / 16), 0.09);
  EXPECT_NEAR(ah, std::exp(-1.0 / 4), 0.09);
}

// kind: cross   source: ISO 2533 ratio of two heights (troposphere_test.cc)
// tolerance: 1e-12, the same pressure by two ways
TEST(Air, ReceiversOfAWorldHaveTheSameWeather) {
  Scenario s = world(955.5);
  const Geodetic first = s.receivers.front().marker;
  Geodetic higher = first;
  higher.height_m += 300;
  const auto pressure = [&](const Geodetic& place) {
    return air_over(s, place, 600).zenith_hydrostatic_m /
           zenith_hydrostatic_m(1, place.lat_rad, place.height_m);
  };
  EXPECT_NEAR(pressure(higher) / pressure(first),
              standard_pressure_hpa(higher.height_m) /
                  standard_pressure_hpa(first.height_m),
              1e-12);
  EXPECT_EQ(air_over(s, first, 600).ah, air_over(s, higher, 600).ah);
}

TEST(Air, IsNothingInAWorldWithoutTroposphere) {
  const Scenario s = test::small_world();
  const Atmosphere air = air_over(s, s.receivers.front().marker, 600);
  EXPECT_EQ(air.zenith_hydrostatic_m, 0);
  EXPECT_EQ(air.zenith_wet_m, 0);
}

}  // namespace
}  // namespace stillpoint::simulate

#include "stillpoint/simulate/nature/wet_field.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr int kSeeds = 1000;
constexpr GnssTime kNow = GnssTime::from_ns(1'464'393'600'000'000'000);

RandomKey key_of_seed(int seed) {
  return {static_cast<std::uint64_t>(seed), 23};
}

// Root mean square over seeds and four directions of the difference between
// two places and instants.
double difference(double apart_m, double later_s) {
  double square = 0;
  for (int seed = 0; seed < kSeeds; ++seed) {
    for (int i = 0; i < 4; ++i) {
      const double angle = i * 1.5707963267948966 + 0.3;
      const double from =
          wet_field_m(key_of_seed(seed), 0.003, 2e4, -1e4, kNow);
      const double to = wet_field_m(key_of_seed(seed),
                                    0.003,
                                    2e4 + apart_m * std::sin(angle),
                                    -1e4 + apart_m * std::cos(angle),
                                    kNow + Duration{later_s});
      square += (to - from) * (to - from) / (4.0 * kSeeds);
    }
  }
  return std::sqrt(square);
}

// kind: cross   source: wet_field.h, the size at 10 km and the cube root
// tolerance: 8 % at 10 km, four standard deviations of a rms of 1000 seeds
// with two independent differences each; 15 % for the law, which octaves follow
// in steps and which ends at the shortest wave
TEST(WetField, DifferencesGrowWithTheCubeRootOfTheDistance) {
  EXPECT_NEAR(difference(10e3, 0), 0.003, 0.08 * 0.003);
  EXPECT_NEAR(difference(5e3, 0), 0.003 * std::cbrt(0.5), 0.15 * 0.0024);
  EXPECT_NEAR(difference(20e3, 0), 0.003 * std::cbrt(2.0), 0.15 * 0.0038);
  EXPECT_NEAR(difference(40e3, 0), 0.003 * std::cbrt(4.0), 0.15 * 0.0048);
  EXPECT_LT(difference(1e3, 0), 0.0016);
}

// kind: cross   source: wet_field.h: what a place has now, another had before,
// 1000 s by 10 m/s away, whatever the direction of the wind
// tolerance: 8 %, as above
TEST(WetField, IsCarriedByTheWind) {
  EXPECT_NEAR(difference(0, 1000), difference(10e3, 0), 0.08 * 0.003);
}

TEST(WetField, IsOneFunctionOfPlaceAndTime) {
  const RandomKey key = key_of_seed(5);
  EXPECT_EQ(wet_field_m(key, 0.003, 100, 200, kNow),
            wet_field_m(key, 0.003, 100, 200, kNow));
  EXPECT_NE(wet_field_m(key, 0.003, 100, 200, kNow),
            wet_field_m(key_of_seed(6), 0.003, 100, 200, kNow));
  // Two metres apart: nothing to speak of.
  EXPECT_LT(std::abs(wet_field_m(key, 0.003, 100, 200, kNow) -
                     wet_field_m(key, 0.003, 102, 200, kNow)),
            2e-5);
}

}  // namespace
}  // namespace stillpoint::simulate

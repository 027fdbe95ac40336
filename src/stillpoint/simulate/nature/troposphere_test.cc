// kind: published   source: block by block in
// tests/vectors/nature_troposphere.vec, with the tolerance and its reason
#include "stillpoint/simulate/nature/troposphere.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
const GnssTime kNoon = GnssTime::from_gps_week(2190, 43'200);
const Geodetic kPlace{47.3 * kDeg, 8.9 * kDeg, 512};

// kind, source, tolerance: in the blocks of
// tests/vectors/nature_troposphere.vec
TEST(NatureTroposphere, MeetsThePublishedValues) {
  int mapping = 0, zenith = 0;
  for (const auto& b : test::read_vectors("nature_troposphere.vec")) {
    SCOPED_TRACE(b.name);
    if (b.word("model") == "zhd") {
      EXPECT_NEAR(
          zenith_hydrostatic_m(
              b.in("pressure_hpa"), b.in("lat_deg") * kDeg, b.in("height_m")),
          b.out("zenith_m"),
          b.tolerance);
      ++zenith;
      continue;
    }
    const Geodetic site{b.in("lat_rad"), 0, b.in("height_m")};
    const Mapping m = map_to_slant(b.in("ah"),
                                   b.in("aw"),
                                   site,
                                   from_mjd(b.in("mjd"), TimeScale::kUtc),
                                   kPi / 2 - b.in("zenith_rad"));
    EXPECT_NEAR(m.hydrostatic, b.out("hydrostatic"), b.tolerance);
    EXPECT_NEAR(m.wet, b.out("wet"), b.tolerance);
    ++mapping;
  }
  EXPECT_EQ(mapping, 2);
  EXPECT_EQ(zenith, 3);
}

// kind: published   source: ISO 2533, tables by geopotential height: 898.746
// hPa at 1000 m, 540.199 hPa at 5000 m (from memory) tolerance: 0.005 hPa, the
// rounding of the exponent
TEST(StandardPressure, IsThatOfTheStandardAtmosphere) {
  EXPECT_NEAR(standard_pressure_hpa(0), 1013.25, 1e-9);
  EXPECT_NEAR(standard_pressure_hpa(1000), 898.746, 0.005);
  EXPECT_NEAR(standard_pressure_hpa(5000), 540.199, 0.005);
}

// kind: cross
// tolerance: 1e-12, the definition
TEST(TroposphereDelay, IsTheZenithDelayAtTheZenith) {
  const Atmosphere air{2.2, 0.15, 0.00124, 0.00057, 0.001, 0.002};
  const SlantDelay d = troposphere_delay(air, kPlace, kNoon, {0, kPi / 2});
  EXPECT_NEAR(d.hydrostatic_m, 2.2, 1e-12);
  EXPECT_NEAR(d.wet_m, 0.15, 1e-12);
  EXPECT_NEAR(d.gradient_m, 0, 1e-12);
}

// kind: cross
// tolerance: 1e-12 m, the definition by hand: 1/(sin 30 tan 30 + 0.0032)
TEST(TroposphereDelay, GrowsTowardsTheGradient) {
  Atmosphere air;
  air.gradient_north_m = 0.001;
  air.gradient_east_m = -0.0005;
  const double el = 30 * kDeg;
  const double m = 1 / (0.5 / std::sqrt(3.0) + 0.0032);
  const auto gradient = [&](double az_deg) {
    return troposphere_delay(air, kPlace, kNoon, {az_deg * kDeg, el})
        .gradient_m;
  };
  EXPECT_NEAR(gradient(0), 0.001 * m, 1e-12);
  EXPECT_NEAR(gradient(90), -0.0005 * m, 1e-12);
  EXPECT_NEAR(gradient(180), -0.001 * m, 1e-12);
}

TEST(Mapping, GrowsWithEveryStepTowardsTheHorizon) {
  double last_dry = 0, last_wet = 0;
  for (int deg = 90; deg >= 3; --deg) {
    const Mapping m = map_to_slant(0.00124, 0.00057, kPlace, kNoon, deg * kDeg);
    EXPECT_GT(m.hydrostatic, last_dry);
    EXPECT_GT(m.wet, last_wet);
    last_dry = m.hydrostatic;
    last_wet = m.wet;
  }
  EXPECT_GT(last_dry, 14);
  EXPECT_LT(last_dry, 16);
}

}  // namespace
}  // namespace stillpoint::simulate

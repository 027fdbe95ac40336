#include "stillpoint/models/troposphere.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "stillpoint/models/saastamoinen.h"
#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr GnssTime kSummer = GnssTime::from_ns(2323 * GnssTime::kWeekNs);
constexpr Geodetic kValley{47.3 * kDeg, 8.9 * kDeg, 512};

// kind: cross   source: the delay of 2.3 m at sea level, 2.16 m at 512 m
// (5.5 % less pressure), and 5 to 20 cm of vapour in a temperate summer
TEST(TroposphereModel, IsOfTheKnownSize) {
  const auto m = TroposphereModel::at(kValley, kSummer);
  ASSERT_TRUE(m);
  EXPECT_NEAR(m->zenith_hydrostatic_m(), 2.17, 0.02);
  EXPECT_TRUE(m->zenith_wet_m() > 0.05 && m->zenith_wet_m() < 0.2)
      << m->zenith_wet_m();
  EXPECT_NEAR(m->slant_m(kPi / 2),
              m->zenith_hydrostatic_m() + m->zenith_wet_m(),
              1e-12);
}

// kind: cross   source: a slant is its parts, hydrostatic and wet
// tolerance: 1e-12 m, rounding
TEST(TroposphereModel, SlantIsTheMappedSum) {
  const auto m = TroposphereModel::at(kValley, kSummer);
  ASSERT_TRUE(m);
  for (const double el : steps(2, 90, 4)) {
    const MappingFactors f = m->mapping(el * kDeg);
    EXPECT_NEAR(
        m->slant_m(el * kDeg),
        m->zenith_hydrostatic_m() * f.hydrostatic + m->zenith_wet_m() * f.wet,
        1e-12);
  }
}

TEST(TroposphereModel, IsFiniteAndPositiveEverywhere) {
  for (int lat = -90; lat <= 90; lat += 15) {
    for (int lon = -180; lon <= 180; lon += 45) {
      for (const double height : {-500.0, 0.0, 9000.0}) {
        const auto m =
            TroposphereModel::at({lat * kDeg, lon * kDeg, height}, kSummer);
        ASSERT_TRUE(m) << m.error().text();
        for (int el = 0; el <= 90; el += 5) {
          const double s = m->slant_m(el * kDeg);
          ASSERT_TRUE(s > 0.6 && s < 60) << lat << " " << el << " " << s;
        }
      }
    }
  }
}

// kind: cross   source: 0.0022768 m per hPa
// tolerance: 1 % for the gravity term
TEST(TroposphereModel, TakesTheOwnersPressure) {
  const auto mean = gpt(kValley, kSummer);
  const auto plain = TroposphereModel::at(kValley, kSummer);
  MeasuredWeather measured;
  measured.pressure_hpa = mean->pressure_hpa + 10;
  measured.relative_humidity = 0;
  const auto own = TroposphereModel::at(kValley, kSummer, measured);
  ASSERT_TRUE(own);
  EXPECT_NEAR(own->zenith_hydrostatic_m() - plain->zenith_hydrostatic_m(),
              0.022768,
              0.0003);
  EXPECT_EQ(own->zenith_wet_m(), 0);
}

TEST(TroposphereModel, RefusesWhatCannotBe) {
  EXPECT_FALSE(TroposphereModel::at({0, 0, 20'000}, kSummer));
  MeasuredWeather measured;
  measured.pressure_hpa = 1013e2;  // pascals by mistake
  const auto m = TroposphereModel::at(kValley, kSummer, measured);
  ASSERT_FALSE(m);
  EXPECT_EQ(m.error().code, ErrorCode::kOutOfRange);
  measured = {};
  measured.temperature_c = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(TroposphereModel::at(kValley, kSummer, measured));
  measured.temperature_c = 288;  // kelvin by mistake
  EXPECT_FALSE(TroposphereModel::at(kValley, kSummer, measured));
}

}  // namespace
}  // namespace stillpoint::models

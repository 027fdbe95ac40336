// kind: published   source: block by block in
// tests/vectors/nature_sun_moon.vec, with the tolerance and its reason
#include "stillpoint/simulate/nature/sun_moon.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/sun_moon_series.h"
#include "stillpoint/simulate/nature/vectors.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;

Ecef vector_of(const std::vector<double>& v) {
  return {v.at(0), v.at(1), v.at(2)};
}

double angle_deg(const Ecef& a, const Ecef& b) {
  return std::atan2(norm(cross(a, b)), dot(a, b)) * 180 / kPi;
}

GnssTime time_of(const std::string& text) {
  const auto t = parse_time(text);
  EXPECT_TRUE(t) << text;
  return t.value_or(GnssTime{});
}

void check_earth_fixed(const test::Block& b) {
  const SunMoon got = sun_moon(time_of(b.word("utc")));
  const Ecef sun = vector_of(b.out_list("sun"));
  const Ecef moon = vector_of(b.out_list("moon"));
  EXPECT_LT(angle_deg(got.sun_m, sun), b.tolerance);
  EXPECT_LT(angle_deg(got.moon_m, moon), b.tolerance);
  EXPECT_NEAR(norm(got.sun_m) / norm(sun), 1, 1e-4);
  EXPECT_NEAR(norm(got.moon_m) / norm(moon), 1, 1e-4);
}

// From Earth-fixed back to celestial axes.
Ecef to_celestial(const Ecef& v, GnssTime t) {
  const double c = std::cos(mean_sidereal_rad(t));
  const double s = std::sin(mean_sidereal_rad(t));
  return {c * v.x_m - s * v.y_m, s * v.x_m + c * v.y_m, v.z_m};
}

void check_celestial(const test::Block& b) {
  const GnssTime t = time_of(b.word("celestial"));
  const SunMoon got = sun_moon(t);
  const Ecef sun = vector_of(b.out_list("sun"));
  const Ecef moon = vector_of(b.out_list("moon"));
  EXPECT_LT(angle_deg(to_celestial(got.sun_m, t), sun), b.tolerance);
  EXPECT_LT(angle_deg(to_celestial(got.moon_m, t), moon), b.tolerance);
  EXPECT_NEAR(norm(got.sun_m) / norm(sun), 1, 1e-4);
  // The printed Moon itself is off by 0.0013 (ERFA, and Meeus' own example).
  EXPECT_NEAR(norm(got.moon_m) / norm(moon), 1, 2e-3);
}

void check_ecliptic(const test::Block& b) {
  const bool is_sun = b.word("body") == "sun";
  const double c = b.in("centuries");
  const Ecliptic got = is_sun ? sun_ecliptic(c) : moon_ecliptic(c);
  const double lon_deg = got.lon_rad * 180 / kPi;
  EXPECT_NEAR(
      std::remainder(lon_deg - b.out("lon_deg"), 360.0), 0, b.tolerance);
  EXPECT_NEAR(got.lat_rad * 180 / kPi, b.out("lat_deg"), b.tolerance);
  const double limit = is_sun ? 1e-5 : 2e-4;
  EXPECT_NEAR(got.distance_m / b.out("distance_m"), 1, limit);
}

// kind, source, tolerance: in the blocks of tests/vectors/nature_sun_moon.vec
TEST(SunMoon, MeetsThePublishedPlaces) {
  int earth_fixed = 0, celestial = 0, ecliptic = 0;
  for (const auto& b : test::read_vectors("nature_sun_moon.vec")) {
    SCOPED_TRACE(b.name);
    if (b.has("utc")) {
      check_earth_fixed(b);
      ++earth_fixed;
    } else if (b.has("celestial")) {
      check_celestial(b);
      ++celestial;
    } else {
      check_ecliptic(b);
      ++ecliptic;
    }
  }
  EXPECT_EQ(earth_fixed, 10);
  EXPECT_EQ(celestial, 2);
  EXPECT_EQ(ecliptic, 2);
}

// kind: published   source: Earth rotation angle at J2000.0 by ERFA,
// 4.894961212823756 rad (shared checks section 9); the mean sidereal time of
// IAU 1982 equals it there. Meeus, example 12.a: 1987 April 10, 0 h UT: 13 h
// 10 m 46.3668 s (from memory)
// tolerance: 5e-10 rad by the constant's last digit; 5e-9 rad by the printed
// digits
TEST(MeanSidereal, MeetsThePublishedAngles) {
  const GnssTime t = time_of("2000-01-01T12:00:00Z");
  EXPECT_NEAR(mean_sidereal_rad(t), 4.894961212823756, 5e-10);
  const double hours = 13 + 10 / 60.0 + 46.3668 / 3600;
  EXPECT_NEAR(mean_sidereal_rad(time_of("1987-04-10T00:00:00Z")),
              hours * kPi / 12,
              5e-9);
}

// kind: cross
// tolerance: 1e-9 h and 1e-12 centuries, the rounding of doubles
TEST(UtcHour, CountsFromMidnightAndAcrossALeapSecond) {
  EXPECT_NEAR(utc_hour(time_of("2016-12-31T23:30:00Z")), 23.5, 1e-9);
  EXPECT_NEAR(utc_hour(time_of("2017-01-01T00:30:00Z")), 0.5, 1e-9);
  // TT is 64.184 s ahead of UTC in 2000.
  EXPECT_NEAR(
      julian_centuries_tt(time_of("2000-01-01T11:58:55.816Z")), 0, 1e-12);
}

}  // namespace
}  // namespace stillpoint::simulate

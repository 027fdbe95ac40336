#include "stillpoint/simulate/nature/ionosphere.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
const Geodetic kPlace{47.3 * kDeg, 8.9 * kDeg, 512};
const GnssTime kMidnight = GnssTime::from_gps_week(2190, 0);

GnssTime at_hour(double hour) {
  return kMidnight + Duration{hour * 3600};
}

// kind: published   source: 1 TECU is 0.162 m on 1575.42 MHz (IERS Conventions
// 2010, section 9.4, constant 40.3; any handbook)
// tolerance: 5e-4 m, three printed decimals
TEST(IonosphereDelay, IsSixteenCentimetresForOneUnitOnL1) {
  EXPECT_NEAR(ionosphere_delay_m(1, 1575.42e6), 0.162, 5e-4);
  // (154/115)^2 = 1.7933 times as much on L5 (exact).
  EXPECT_NEAR(
      ionosphere_delay_m(10, 1176.45e6) / ionosphere_delay_m(10, 1575.42e6),
      154.0 * 154.0 / (115.0 * 115.0),
      1e-12);
}

// Position on the sphere of a radius.
Ecef on_sphere(double radius_m, double lat, double lon) {
  return {radius_m * std::cos(lat) * std::cos(lon),
          radius_m * std::cos(lat) * std::sin(lon),
          radius_m * std::sin(lat)};
}

// kind: cross
// tolerance: 1e-8 of the direction: the point of the shell, seen by vectors
// from the station on the sphere, stands where the ray was sent, and the
// obliquity is 1 over the cosine of the ray's zenith angle there
TEST(ShellPoint, LiesOnTheRay) {
  for (const double lat_deg : {-80.0, -33.0, 0.0, 47.3, 88.0}) {
    const Geodetic station{lat_deg * kDeg, 170 * kDeg, 0};
    const Mat3 level = enu_R_ecef(station);
    const Ecef from =
        on_sphere(kShellEarthRadiusM, station.lat_rad, station.lon_rad);
    for (int az_deg = 5; az_deg < 360; az_deg += 45) {
      for (const double el_deg : {0.0, 5.0, 30.0, 80.0}) {
        const AzEl sent{az_deg * kDeg, el_deg * kDeg};
        const ShellPoint p = shell_point(station, sent);
        const Ecef to =
            on_sphere(kShellEarthRadiusM + kShellHeightM, p.lat_rad, p.lon_rad);
        const AzEl seen = azimuth_elevation(level, to - from);
        EXPECT_NEAR(seen.elevation_rad, sent.elevation_rad, 1e-8);
        EXPECT_NEAR(
            std::remainder(seen.azimuth_rad - sent.azimuth_rad, 2 * kPi) *
                std::cos(sent.elevation_rad),
            0,
            1e-8);
        const double cosine = dot(to, to - from) / (norm(to) * norm(to - from));
        EXPECT_NEAR(p.obliquity, 1 / cosine, 1e-8);
      }
    }
  }
}

// kind: cross
// tolerance: 1e-12: overhead the content is the vertical one
TEST(SlantContent, IsTheVerticalOneOverhead) {
  const Ionosphere world = quiet_ionosphere(kPlace);
  const ShellPoint above{kPlace.lat_rad, kPlace.lon_rad, 1};
  EXPECT_NEAR(slant_tecu(world, kPlace, {0, kPi / 2}, at_hour(9)),
              vertical_tecu(world, above, at_hour(9)),
              1e-12);
}

// kind: cross
// tolerance: 1e-9 TECU, the definition: night 5, at 14 h local time 20, each
// times the level; 2 degrees north 0.6 less
TEST(VerticalContent, FollowsTheDayTheLatitudeAndTheLevel) {
  Ionosphere world = quiet_ionosphere(kPlace);
  const ShellPoint here{kPlace.lat_rad, kPlace.lon_rad, 1};
  const double local_zero = -8.9 / 15;  // hour of GPST at local midnight
  EXPECT_NEAR(vertical_tecu(world, here, at_hour(local_zero)), 5, 1e-9);
  EXPECT_NEAR(vertical_tecu(world, here, at_hour(local_zero + 14)), 20, 1e-9);
  const ShellPoint north{kPlace.lat_rad + 2 * kDeg, kPlace.lon_rad, 1};
  EXPECT_NEAR(vertical_tecu(world, north, at_hour(local_zero)), 4.4, 1e-9);
  world.level = 3;
  EXPECT_NEAR(vertical_tecu(world, here, at_hour(local_zero + 14)), 60, 1e-9);
}

// kind: cross
// tolerance: 1e-6 TECU: a wave that travels north repeats after its period and,
// at the same instant, one wavelength further north
TEST(TravellingWaves, MoveWithTheirPeriodAndLength) {
  Ionosphere world = quiet_ionosphere(kPlace);
  world.tecu_per_degree_north = 0;
  world.day_tecu = 0;
  world.waves[0] = {1.0, 200e3, 1200, 0, 0.3};
  const double shell_m = kShellEarthRadiusM + kShellHeightM;
  const GnssTime t = at_hour(3);
  const auto content = [&](double north_m, double later_s) {
    const ShellPoint p{kPlace.lat_rad + north_m / shell_m, kPlace.lon_rad, 1};
    return vertical_tecu(world, p, t + Duration{later_s});
  };
  EXPECT_NEAR(content(0, 1200), content(0, 0), 1e-6);
  EXPECT_NEAR(content(200e3, 0), content(0, 0), 1e-6);
  // Half a period later the crest is half a wavelength further north.
  EXPECT_NEAR(content(100e3, 600), content(0, 0), 1e-6);
  EXPECT_NEAR(content(0, 0) + content(0, 600), 10, 1e-6);
  EXPECT_GT(std::abs(content(0, 300) - content(0, 0)), 0.1);
}

TEST(VerticalContent, NeverFallsBelowItsFloorAndKeepsItsSize) {
  const Ionosphere world = disturbed_ionosphere(kPlace);
  double most = 0;
  for (int i = 0; i < 24 * 12; ++i) {
    for (const double el_deg : {5.0, 20.0, 60.0}) {
      const ShellPoint p = shell_point(kPlace, {i * kDeg, el_deg * kDeg});
      const double v = vertical_tecu(world, p, at_hour(i / 12.0));
      EXPECT_GE(v, 0.5);
      most = std::fmax(most, v);
    }
  }
  EXPECT_GT(most, 60);
  EXPECT_LT(most, 130);
}

}  // namespace
}  // namespace stillpoint::simulate

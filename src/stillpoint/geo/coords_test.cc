#include "stillpoint/geo/coords.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace stillpoint {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kRadPerDeg = kPi / 180;

// kind: cross, there and back from the depths to above the navigation
// satellites   tolerance: what the header promises, rounding of doubles
TEST(Geodetic, RoundTripsFromTheDepthsToTheSatellites) {
  for (const Ellipsoid ellipsoid : {Ellipsoid::kGrs80, Ellipsoid::kWgs84}) {
    for (int lat = -90; lat <= 90; lat += 15) {
      for (int lon = -180; lon <= 180; lon += 30) {
        for (const double height_m : {-1e4, 0.0, 8848.0, 2.02e7, 3.6e7}) {
          const Ecef p = to_ecef({lat * kRadPerDeg, lon * kRadPerDeg, height_m},
                                 ellipsoid);
          const Geodetic g = to_geodetic(p, ellipsoid);
          const double bound_m = height_m < 1e5 ? 5e-9 : 3e-8;
          EXPECT_NEAR(norm(to_ecef(g, ellipsoid) - p), 0, bound_m);
          EXPECT_NEAR(g.height_m, height_m, bound_m);
        }
      }
    }
  }
}

TEST(Geodetic, TheCentreOfTheEarthIsAPlaceToo) {
  const Geodetic g = to_geodetic(Ecef{});
  EXPECT_TRUE(std::isfinite(g.lat_rad));
  EXPECT_NEAR(norm(to_ecef(g)), 0, 1e-8);
}

// kind: published   source: Moritz (2000) and NIMA TR8350.2, semi-minor axes
// tolerance: 1e-6 m; the difference is 0.105 mm
TEST(Ellipsoid, Grs80AndWgs84DifferByATenthOfAMillimetreAtThePole) {
  const Geodetic pole{kPi / 2, 0, 0};
  EXPECT_NEAR(to_ecef(pole, Ellipsoid::kWgs84).z_m -
                  to_ecef(pole, Ellipsoid::kGrs80).z_m,
              1.05e-4,
              1e-6);
}

// kind: cross, the definition of a rotation   tolerance: rounding
TEST(EnuRotation, IsOrthonormalAndRightHanded) {
  for (const Geodetic& at :
       {Geodetic{0, 0, 0}, Geodetic{0.9, -2.1, 0}, Geodetic{-1.5, 3.1, 500}}) {
    const Mat3 r = enu_R_ecef(at);
    const Ecef e{r[0], r[1], r[2]};
    const Ecef n{r[3], r[4], r[5]};
    const Ecef u{r[6], r[7], r[8]};
    EXPECT_NEAR(norm(e), 1, 1e-15);
    EXPECT_NEAR(norm(n), 1, 1e-15);
    EXPECT_NEAR(dot(e, n), 0, 1e-15);
    const Ecef e_cross_n{e.y_m * n.z_m - e.z_m * n.y_m,
                         e.z_m * n.x_m - e.x_m * n.z_m,
                         e.x_m * n.y_m - e.y_m * n.x_m};
    EXPECT_NEAR(norm(e_cross_n - u), 0, 1e-15);
  }
}

// kind: cross, against small steps of latitude, longitude and height
// tolerance: 1 um over a metre (curvature over 1 m is 0.1 um)
TEST(Enu, AxesAreTheDirectionsOfGrowingCoordinates) {
  const Geodetic at{0.8, 0.2, 100};
  const Ecef origin = to_ecef(at);
  const double metre = 1 / 6.4e6;
  const Enu north =
      to_enu(to_ecef({at.lat_rad + metre, at.lon_rad, at.height_m}), origin);
  const Enu east =
      to_enu(to_ecef({at.lat_rad, at.lon_rad + metre, at.height_m}), origin);
  const Enu up = to_enu(to_ecef({at.lat_rad, at.lon_rad, 101}), origin);
  EXPECT_NEAR(north.n_m, 1, 0.01);
  EXPECT_NEAR(north.e_m, 0, 1e-6);
  EXPECT_NEAR(north.u_m, 0, 1e-6);
  EXPECT_GT(east.e_m, 0.6);
  EXPECT_NEAR(east.n_m, 0, 1e-6);
  EXPECT_NEAR(east.u_m, 0, 1e-6);
  EXPECT_NEAR(up.u_m, 1, 1e-8);
}

// kind: cross, to_enu against from_enu   tolerance: 1e-8 m, rounding at 6e6 m
TEST(Enu, RoundTrips) {
  const Ecef origin = to_ecef({-0.4, 2.3, 603});
  const Enu offset{1.25, -3000.5, 0.052};
  const Enu back = to_enu(from_enu(offset, origin), origin);
  EXPECT_NEAR(back.e_m, offset.e_m, 1e-8);
  EXPECT_NEAR(back.n_m, offset.n_m, 1e-8);
  EXPECT_NEAR(back.u_m, offset.u_m, 1e-8);
}

// kind: cross, directions that are known by construction   tolerance: rounding
TEST(AzimuthElevation, GoesRoundFromNorthOverEast) {
  const Mat3 r = enu_R_ecef({0.7, -1.2, 0});
  struct Case {
    Enu way;
    double azimuth_deg, elevation_deg;
  };
  for (const Case& c : {Case{{0, 1, 0}, 0, 0},
                        Case{{1, 1, 0}, 45, 0},
                        Case{{1, 0, 0}, 90, 0},
                        Case{{0, -2, 2}, 180, 45},
                        Case{{-3, 0, -3}, 270, -45},
                        Case{{-1, 1, std::sqrt(2.0)}, 315, 45}}) {
    const AzEl d = azimuth_elevation(r, rotate_back(r, c.way));
    EXPECT_NEAR(
        std::remainder(d.azimuth_rad - c.azimuth_deg * kRadPerDeg, 2 * kPi),
        0,
        1e-15);
    EXPECT_NEAR(d.elevation_rad, c.elevation_deg * kRadPerDeg, 1e-15);
  }
}

TEST(AzimuthElevation, StaysBelowAFullTurnAndHasAZenith) {
  const Mat3 identity{1, 0, 0, 0, 1, 0, 0, 0, 1};
  const AzEl a = azimuth_elevation(identity, {-1e-30, 1, 0});
  EXPECT_GE(a.azimuth_rad, 0);
  EXPECT_LT(a.azimuth_rad, 2 * kPi);
  const AzEl zenith = azimuth_elevation(identity, {0, 0, 1});
  EXPECT_DOUBLE_EQ(zenith.elevation_rad, kPi / 2);
  EXPECT_EQ(zenith.azimuth_rad, 0);
}

// kind: cross, against the sample covariance of rotated vectors, which the
// propagation law makes equal term by term   tolerance: rounding (1e-12)
TEST(Covariance, RotatesAsTheVectorsItDescribes) {
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  const Mat3 r = enu_R_ecef({0.83, 0.15, 0});
  Cov3 ecef{};
  Cov3 enu{};
  for (int i = 0; i < 100; ++i) {
    const Ecef v{normal(random), 2 * normal(random), 3 * normal(random)};
    const Enu w = rotate(r, v);
    const double a[] = {v.x_m, v.y_m, v.z_m};
    const double b[] = {w.e_m, w.n_m, w.u_m};
    for (std::size_t j = 0; j < 9; ++j) {
      ecef[j] += a[j / 3] * a[j % 3] / 100;
      enu[j] += b[j / 3] * b[j % 3] / 100;
    }
  }
  const Cov3 got = covariance_to_enu(r, ecef);
  const Cov3 back = covariance_to_ecef(r, got);
  for (std::size_t j = 0; j < 9; ++j) {
    EXPECT_NEAR(got[j], enu[j], 1e-12);
    EXPECT_NEAR(back[j], ecef[j], 1e-12);
  }
  EXPECT_EQ(got[1], got[3]);
  EXPECT_EQ(got[2], got[6]);
  EXPECT_EQ(got[5], got[7]);
}

// kind: cross, known by construction: on the equator at longitude 0 the X axis
// is up   tolerance: rounding
TEST(Covariance, AlongXIsUpWhereXLeavesTheEllipsoid) {
  const Cov3 enu =
      covariance_to_enu(enu_R_ecef({0, 0, 0}), {4, 0, 0, 0, 1, 0, 0, 0, 9});
  EXPECT_NEAR(enu[0], 1, 1e-15);
  EXPECT_NEAR(enu[4], 9, 1e-15);
  EXPECT_NEAR(enu[8], 4, 1e-15);
}

TEST(Point, NamesAreThoseOfTheJsonDocuments) {
  EXPECT_STREQ(point_name(Point::kMarker), "marker");
  EXPECT_STREQ(point_name(Point::kArp), "arp");
  EXPECT_STREQ(point_name(Point::kPhaseCentre), "phase_centre");
}

}  // namespace
}  // namespace stillpoint

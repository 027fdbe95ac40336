// kind: published   source: block by block in tests/vectors/geodesy.vec, with
// the tolerance and its reason
// tests/vectors/geodesy.vec: worked examples and edge cases.
#include <gtest/gtest.h>

#include <numbers>

#include "stillpoint/geo/coords.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180;

Ecef ecef(const std::vector<double>& v) {
  return {v.at(0), v.at(1), v.at(2)};
}

Geodetic place(double lat_deg, double lon_deg, double height_m) {
  return {lat_deg * kRadPerDeg, lon_deg * kRadPerDeg, height_m};
}

void expect_near(const Ecef& got, const Ecef& want, double tolerance_m) {
  EXPECT_NEAR(got.x_m, want.x_m, tolerance_m);
  EXPECT_NEAR(got.y_m, want.y_m, tolerance_m);
  EXPECT_NEAR(got.z_m, want.z_m, tolerance_m);
}

Geodetic place_of(const test::Block& b) {
  return place(b.in("lat_deg"), b.in("lon_deg"), b.in("height_m"));
}

// Geodetic coordinates compared as lengths on the ground, so that longitude
// at a pole and 180 = -180 need no special case.
void check_inverse(const test::Block& b,
                   const Ecef& p,
                   const Geodetic& want,
                   Ellipsoid ellipsoid) {
  const Geodetic got = to_geodetic(p, ellipsoid);
  EXPECT_NEAR(got.height_m, want.height_m, b.tolerance);
  expect_near(to_ecef(got, ellipsoid), to_ecef(want, ellipsoid), b.tolerance);
}

// The published origin is rounded, its rotation is that of the printed place.
void check_topocentric(const test::Block& b) {
  const std::vector<double> want = b.out_list("enu_m");
  const Mat3 r =
      enu_R_ecef(place(b.in("origin_lat_deg"), b.in("origin_lon_deg"), 0));
  const Ecef origin = ecef(b.in_list("origin_ecef_m"));
  const Ecef p = ecef(b.in_list("ecef_m"));
  const Enu got = rotate(r, p - origin);
  EXPECT_NEAR(got.e_m, want.at(0), b.tolerance);
  EXPECT_NEAR(got.n_m, want.at(1), b.tolerance);
  EXPECT_NEAR(got.u_m, want.at(2), b.tolerance);
  expect_near(
      origin + rotate_back(r, {want[0], want[1], want[2]}), p, b.tolerance);
}

void check(const test::Block& b) {
  const Ellipsoid ellipsoid =
      b.word("ellipsoid") == "wgs84" ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80;
  const std::string kind = b.word("check");
  if (kind == "topocentric") {
    check_topocentric(b);
  } else if (kind == "to_geodetic") {
    const Geodetic want =
        place(b.out("lat_deg"), b.out("lon_deg"), b.out("height_m"));
    const Ecef p = ecef(b.in_list("ecef_m"));
    check_inverse(b, p, want, ellipsoid);
  } else {
    const Ecef want = ecef(b.out_list("ecef_m"));
    expect_near(to_ecef(place_of(b), ellipsoid), want, b.tolerance);
    if (kind == "both_ways") {
      check_inverse(b, want, place_of(b), ellipsoid);
    } else {
      ASSERT_EQ(kind, "to_ecef");
    }
  }
}

// kind, source and tolerance: in the file
TEST(PublishedGeodesy, CoordinatesAgree) {
  int blocks = 0;
  for (const test::Block& b : test::read_vectors("geodesy.vec")) {
    SCOPED_TRACE(b.name);
    check(b);
    ++blocks;
  }
  EXPECT_EQ(blocks, 15);
}

}  // namespace
}  // namespace stillpoint

// kind: published   source: block by block in
// tests/vectors/nature_solid_tide.vec, with the tolerance and its reason
#include "stillpoint/simulate/nature/solid_tide.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::simulate {
namespace {

Ecef vector_of(const std::vector<double>& v) {
  return {v.at(0), v.at(1), v.at(2)};
}

// kind, source, tolerance: in the blocks of tests/vectors/nature_solid_tide.vec
TEST(SolidTide, MeetsThePublishedDisplacements) {
  int blocks = 0;
  for (const auto& b : test::read_vectors("nature_solid_tide.vec")) {
    SCOPED_TRACE(b.name);
    const auto t = parse_time(b.word("utc"));
    ASSERT_TRUE(t);
    const SunMoon bodies{vector_of(b.in_list("sun")),
                         vector_of(b.in_list("moon"))};
    const Ecef got = solid_tide_m(vector_of(b.in_list("station")), bodies, *t);
    const Ecef expected = vector_of(b.out_list("displacement"));
    EXPECT_NEAR(got.x_m, expected.x_m, b.tolerance);
    EXPECT_NEAR(got.y_m, expected.y_m, b.tolerance);
    EXPECT_NEAR(got.z_m, expected.z_m, b.tolerance);
    ++blocks;
  }
  EXPECT_EQ(blocks, 103);
}

// kind: cross
// tolerance: 1e-9 m, the rounding: the tide of a body turns with the body and
// the station together about the axis; step 1 knows no time
TEST(SolidTide, TurnsWithStationAndBodiesTogether) {
  const auto turn = [](const Ecef& v) { return Ecef{-v.y_m, v.x_m, v.z_m}; };
  const Ecef station{4075578.385, 931852.890, 4801570.154};
  const SunMoon bodies = sun_moon(GnssTime::from_gps_week(2190, 5e4));
  const Ecef once = solid_tide_step1_m(station, bodies);
  const Ecef turned = solid_tide_step1_m(
      turn(station), {turn(bodies.sun_m), turn(bodies.moon_m)});
  EXPECT_NEAR(norm(turned - turn(once)), 0, 1e-9);
  EXPECT_GT(norm(once), 0.01);
}

// kind: published   source: IERS Conventions (2010), section 7.1.1: step 2
// has a K1 amplitude of 12 mm sin 2 lat radial, the rest together some mm
// tolerance: 1 mm: K1 alone against its companions
TEST(SolidTideStep2, IsAboutTwelveMillimetresOfK1InTheMiddleLatitudes) {
  const Ecef station = to_ecef({0.785398, 0.2, 0});
  double most = 0;
  for (int i = 0; i < 24 * 30; ++i) {
    const GnssTime t = GnssTime::from_gps_week(2190, i * 3600.0);
    most = std::fmax(most, norm(solid_tide_step2_m(station, t)));
  }
  EXPECT_GT(most, 0.010);
  EXPECT_LT(most, 0.017);
}

}  // namespace
}  // namespace stillpoint::simulate

// kind: published   source: block by block in
// tests/vectors/nature_ocean_loading.vec, with the tolerance and its reason
#include "stillpoint/simulate/nature/ocean_loading.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

TideResponse response(const test::Block& b, const std::string& part) {
  TideResponse r;
  const auto amplitude = b.in_list("amp_" + part);
  const auto phase = b.in_list("ph_" + part);
  for (std::size_t i = 0; i < r.amplitude_m.size(); ++i) {
    r.amplitude_m[i] = amplitude.at(i);
    r.phase_rad[i] = phase.at(i) * kDeg;
  }
  return r;
}

// kind, source, tolerance: in the blocks of
// tests/vectors/nature_ocean_loading.vec
TEST(OceanLoading, FollowsThePublishedSeries) {
  int blocks = 0;
  for (const auto& b : test::read_vectors("nature_ocean_loading.vec")) {
    SCOPED_TRACE(b.name);
    const OceanLoading loading{
        response(b, "up"), response(b, "west"), response(b, "south")};
    const auto start = parse_time(b.word("utc"));
    ASSERT_TRUE(start);
    const auto up = b.out_list("up"), west = b.out_list("west"),
               south = b.out_list("south");
    ASSERT_EQ(up.size(), 24U);
    double worst = 0;
    for (std::size_t i = 0; i < up.size(); ++i) {
      const Duration later{3600.0 * static_cast<double>(i)};
      const Enu got = ocean_loading_m(loading, *start + later);
      EXPECT_NEAR(got.u_m, up[i], b.tolerance);
      EXPECT_NEAR(-got.e_m, west[i], b.tolerance);
      EXPECT_NEAR(-got.n_m, south[i], b.tolerance);
      worst = std::max({worst,
                        std::abs(got.u_m - up[i]),
                        std::abs(got.e_m + west[i]),
                        std::abs(got.n_m + south[i])});
    }
    RecordProperty(b.word("site") + "_worst_um",
                   static_cast<int>(std::lround(worst * 1e6)));
    ++blocks;
  }
  EXPECT_EQ(blocks, 2);
}

TEST(OceanLoading, IsNothingWithoutCoefficients) {
  const Enu got = ocean_loading_m({}, GnssTime::from_gps_week(2100, 0));
  EXPECT_EQ(got.e_m, 0);
  EXPECT_EQ(got.n_m, 0);
  EXPECT_EQ(got.u_m, 0);
}

}  // namespace
}  // namespace stillpoint::simulate

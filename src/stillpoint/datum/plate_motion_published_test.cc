// kind: published   source: block by block in tests/vectors/plates.vec, with
// the tolerance and its reason
// tests/vectors/plates.vec: rotation vectors, poles and velocities.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/datum/plate_motion.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

PlateModel model_of(const test::Block& b) {
  return b.word("model") == "ITRF2020" ? PlateModel::kItrf2020
                                       : PlateModel::kItrf2014;
}

Plate plate_of(const test::Block& b) {
  const auto plate = require_plate(model_of(b), b.word("plate"));
  EXPECT_TRUE(plate.has_value()) << b.name;
  return plate.value_or(Plate{});
}

void check_pole(const test::Block& b) {
  const std::vector<double> want = b.out_list("omega_mas_per_year");
  const auto& w = plate_of(b).omega_mas_per_year;
  ASSERT_EQ(want.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(w[i], want[i]);
  }
  const double deg = 180 / std::numbers::pi;
  EXPECT_NEAR(std::atan2(w[2], std::hypot(w[0], w[1])) * deg,
              b.out("pole_lat_deg"),
              b.tolerance);
  EXPECT_NEAR(std::atan2(w[1], w[0]) * deg, b.out("pole_lon_deg"), b.tolerance);
  // 1 mas/year = 1/3.6 degrees per million years
  EXPECT_NEAR(std::hypot(w[0], w[1], w[2]) / 3.6,
              b.out("rate_deg_per_myr"),
              b.tolerance / 10);
}

void check_velocity(const test::Block& b) {
  const std::vector<double> at = b.in_list("ecef_m");
  const std::vector<double> want = b.out_list("velocity_mm_per_year");
  const EcefVelocity v =
      velocity_m_per_year(plate_of(b), {at.at(0), at.at(1), at.at(2)});
  EXPECT_NEAR(v.x_m_per_year * 1e3, want.at(0), b.tolerance);
  EXPECT_NEAR(v.y_m_per_year * 1e3, want.at(1), b.tolerance);
  EXPECT_NEAR(v.z_m_per_year * 1e3, want.at(2), b.tolerance);
}

void check_bias(const test::Block& b) {
  const std::vector<double> want = b.out_list("velocity_m_per_year");
  const EcefVelocity v = origin_rate_bias_m_per_year(model_of(b));
  EXPECT_EQ(v.x_m_per_year, want.at(0));
  EXPECT_EQ(v.y_m_per_year, want.at(1));
  EXPECT_EQ(v.z_m_per_year, want.at(2));
}

// kind, source and tolerance: in the file
TEST(PublishedPlates, RotationsPolesAndVelocitiesAgree) {
  int poles = 0;
  int velocities = 0;
  for (const test::Block& b : test::read_vectors("plates.vec")) {
    SCOPED_TRACE(b.name);
    if (b.word("check") == "pole") {
      check_pole(b);
      ++poles;
    } else if (b.word("check") == "velocity") {
      check_velocity(b);
      ++velocities;
    } else {
      check_bias(b);
    }
  }
  EXPECT_EQ(poles, 24);
  EXPECT_EQ(velocities, 4);
}

}  // namespace
}  // namespace stillpoint

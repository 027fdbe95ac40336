// kind: published   source: block by block in tests/vectors/orbits.vec, with
// the tolerance and its reason
// Broadcast orbits against tests/vectors/orbits.vec.
#include <gtest/gtest.h>

#include "stillpoint/gnss/broadcast.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

KeplerEphemeris kepler_of(const test::Block& b) {
  KeplerEphemeris e;
  e.sat = parse_satellite(b.word("sat")).value_or(SatId{});
  const bool beidou = e.sat.system == System::kBeidou;
  if (beidou) {
    e.message = NavMessage::kD1;
  } else if (e.sat.system == System::kGalileo) {
    e.message = NavMessage::kFnav;
  }
  e.toe = e.toc =
      GnssTime::from_gps_week(2100, b.in("toe") + (beidou ? 14.0 : 0.0));
  e.sqrt_a_sqrt_m = b.in("sqrtA");
  e.eccentricity = b.in("e");
  e.delta_n_rad_per_s = b.in("dn");
  e.i0_rad = b.in("i0");
  e.idot_rad_per_s = b.in("idot");
  e.omega0_rad = b.in("O0");
  e.omega_dot_rad_per_s = b.in("Odot");
  e.omega_rad = b.in("w");
  e.m0_rad = b.in("M0");
  e.cuc_rad = b.in("Cuc");
  e.cus_rad = b.in("Cus");
  e.crc_m = b.in("Crc");
  e.crs_m = b.in("Crs");
  e.cic_rad = b.in("Cic");
  e.cis_rad = b.in("Cis");
  return e;
}

void check_kepler(const test::Block& b) {
  const KeplerEphemeris e = kepler_of(b);
  const auto dt = b.in_list("dt_s");
  const auto x = b.out_list("x_m");
  const auto y = b.out_list("y_m");
  const auto z = b.out_list("z_m");
  for (std::size_t i = 0; i < dt.size(); ++i) {
    const SatelliteState s = evaluate(e, e.toe + Duration{dt[i]});
    EXPECT_NEAR(s.position_m.x_m, x.at(i), b.tolerance) << b.name;
    EXPECT_NEAR(s.position_m.y_m, y.at(i), b.tolerance) << b.name;
    EXPECT_NEAR(s.position_m.z_m, z.at(i), b.tolerance) << b.name;
    if (b.expect.contains("relativity_s")) {
      EXPECT_NEAR(s.relativity_s, b.out_list("relativity_s").at(i), 1e-15)
          << b.name;
    }
  }
}

Ecef vector_of(const std::vector<double>& v) {
  return {v.at(0), v.at(1), v.at(2)};
}

void check_glonass(const test::Block& b) {
  StateEphemeris e;
  e.sat = {System::kGlonass, 1};
  e.toe = GnssTime::from_gps_week(2069, 0);
  e.position_m = vector_of(b.in_list("x_m"));
  e.velocity_mps = vector_of(b.in_list("v_mps"));
  e.acceleration_mps2 = vector_of(b.in_list("a_mps2"));
  const SatelliteState s = evaluate(e, e.toe + Duration{b.in("dt_s")});
  const Ecef p = vector_of(b.out_list("position_m"));
  EXPECT_NEAR(s.position_m.x_m, p.x_m, b.tolerance) << b.name;
  EXPECT_NEAR(s.position_m.y_m, p.y_m, b.tolerance) << b.name;
  EXPECT_NEAR(s.position_m.z_m, p.z_m, b.tolerance) << b.name;
  if (b.expect.contains("velocity_mps")) {
    const Ecef v = vector_of(b.out_list("velocity_mps"));
    EXPECT_LT(norm(s.velocity_mps - v), 1e-4) << b.name;
  }
}

// kind, source, tolerance: in each block of the file
TEST(BroadcastOrbit, MeetsTheVectors) {
  int kepler = 0;
  int glonass = 0;
  for (const test::Block& b : test::read_vectors("orbits.vec")) {
    if (b.word("sat").front() == 'R') {
      check_glonass(b);
      ++glonass;
    } else {
      check_kepler(b);
      ++kepler;
    }
  }
  EXPECT_EQ(kepler, 12);
  EXPECT_EQ(glonass, 5);
}

}  // namespace
}  // namespace stillpoint

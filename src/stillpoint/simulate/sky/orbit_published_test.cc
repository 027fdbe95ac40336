// kind: published   source: block by block in tests/vectors/orbits.vec, with
// the tolerance and its reason
// The world's own orbits against tests/vectors/orbits.vec: the sets of real
// satellites as elements that stand for all times.
#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/simulate/sky/orbit.h"
#include "tests/support/vectors.h"

namespace stillpoint::simulate {
namespace {

struct Constants {
  double gm, rate;
};

Constants constants_of(char system) {
  return system == 'C'   ? Constants{kGmGalileo, kRateBeidou}
         : system == 'E' ? Constants{kGmGalileo, kRateGps}
                         : Constants{kGmGps, kRateGps};
}

// With the reference time as time 0.
Elements elements_of(const test::Block& b) {
  const Constants c = constants_of(b.word("sat").at(0));
  Elements o;
  o.a_m = b.in("sqrtA") * b.in("sqrtA");
  o.eccentricity = b.in("e");
  o.mean_motion_rad_per_s =
      std::sqrt(c.gm / (o.a_m * o.a_m * o.a_m)) + b.in("dn");
  o.m0_rad = b.in("M0");
  o.omega_rad = b.in("w");
  o.i0_rad = b.in("i0");
  o.idot_rad_per_s = b.in("idot");
  o.node_rad = b.in("O0") - c.rate * b.in("toe");
  o.node_rate_rad_per_s = b.in("Odot");
  o.earth_rate_rad_per_s = c.rate;
  o.cuc_rad = b.in("Cuc");
  o.cus_rad = b.in("Cus");
  o.crc_m = b.in("Crc");
  o.crs_m = b.in("Crs");
  o.cic_rad = b.in("Cic");
  o.cis_rad = b.in("Cis");
  return o;
}

TEST(WorldOrbit, MeetsThePublishedPositions) {
  int checked = 0;
  for (const test::Block& b : test::read_vectors("orbits.vec")) {
    if (!b.input.contains("sqrtA")) {
      continue;
    }
    const Elements o = elements_of(b);
    const auto dt = b.in_list("dt_s");
    for (std::size_t i = 0; i < dt.size(); ++i) {
      const Ecef p = position_of(o, dt[i]);
      EXPECT_NEAR(p.x_m, b.out_list("x_m").at(i), b.tolerance) << b.name;
      EXPECT_NEAR(p.y_m, b.out_list("y_m").at(i), b.tolerance) << b.name;
      EXPECT_NEAR(p.z_m, b.out_list("z_m").at(i), b.tolerance) << b.name;
      ++checked;
      if (b.expect.contains("relativity_s")) {
        const double gm = constants_of(b.word("sat").at(0)).gm;
        EXPECT_NEAR(
            relativity_s(o, gm, dt[i]), b.out_list("relativity_s").at(i), 1e-15)
            << b.name;
      }
    }
  }
  EXPECT_GT(checked, 20);
}

}  // namespace
}  // namespace stillpoint::simulate

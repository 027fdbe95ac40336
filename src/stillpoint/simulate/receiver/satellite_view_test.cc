#include "stillpoint/simulate/receiver/satellite_view.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/simulate/nature/light_path.h"
#include "stillpoint/simulate/nature/vectors.h"
#include "stillpoint/simulate/receiver/receiver.h"
#include "stillpoint/simulate/simulate_test_support.h"
#include "stillpoint/simulate/sky/precise_products.h"

namespace stillpoint::simulate {
namespace {

constexpr double kAtS = 3600;

EpochTerms terms_of(const Sky& sky) {
  SimulatedReceiver receiver(sky, 0);
  Epoch epoch;
  EpochTerms terms;
  EXPECT_TRUE(receiver.observe(kAtS, epoch, &terms));
  return terms;
}

// What of the antenna's term the offset makes when the body's y axis is `y`.
double offset_term_m(const Satellite& s,
                     const Ecef& sent,
                     const Ecef& y,
                     const SatelliteTerms& terms,
                     const Ecef& arp) {
  const Ecef z = -1 / norm(sent) * sent;
  const SatelliteAntenna& a = s.antenna;
  const Ecef centre =
      sent + a.offset_x_m * cross(y, z) + a.offset_y_m * y + a.offset_z_m * z;
  return norm(centre - arp) - terms.range_m +
         nadir_variation_m(a, nadir_angle_rad(sent, arp));
}

// kind: cross   source: body axes by cross products of their own: y against the
// orbit's normal (Montenbruck et al., Adv. Space Res. 56 (2015), p. 1015, from
// memory) and y along z x Sun
// tolerance: 1 um, rounding of 4e7 m; the two laws lie centimetres apart
TEST(SatelliteView, GeostationaryBeidouFliesOrbitNormalAndTheOthersByTheSun) {
  const Sky sky(test::small_world(test::only(Effect::kSatelliteAntenna)));
  const EpochTerms terms = terms_of(sky);
  const Ecef sun = sun_moon(sky.time(kAtS)).sun_m;
  int still = 0, turning = 0;
  double apart_m = 0;
  for (const SatelliteTerms& v : terms.satellites) {
    const Satellite& s = *sky.find(v.sat);
    const double flight_s = v.range_m / kSpeedOfLightMps;
    const Motion m = s.motion(kAtS - flight_s);
    const Ecef sent = turn_axes(m.position_m, flight_s);
    const Ecef in_space = turn_axes(m.velocity_mps, flight_s) +
                          cross({0, 0, kEarthRateRadps}, sent);
    const Ecef normal = unit(cross(sent, in_space));
    const Ecef by_orbit = -1.0 * normal;
    const Ecef by_sun = unit(cross(-1.0 * sent, sun - sent));
    const bool is_still = s.kind == OrbitKind::kGeostationary;
    const double with_orbit = offset_term_m(s, sent, by_orbit, v, terms.arp_m);
    const double with_sun = offset_term_m(s, sent, by_sun, v, terms.arp_m);
    EXPECT_NEAR(v.satellite_antenna_m, is_still ? with_orbit : with_sun, 1e-6)
        << s.sat.text();
    if (is_still) {
      apart_m = std::fmax(apart_m, std::abs(with_orbit - with_sun));
    }
    ++(is_still ? still : turning);
  }
  EXPECT_GE(still, 1);
  EXPECT_GT(turning, 20);
  // That the test would see the other law.
  EXPECT_GT(apart_m, 1e-3);
}

// kind: cross   source: the products as the program reads them
// (aids/precise_orbits.h, aids/precise_clocks.h), against geometry
// tolerance: 0.1 mm, what the program's interpolation leaves of an orbit; 1 um
// of a clock, the same straight line
TEST(SatelliteView, SaysWhatTheProductsAreWrongBy) {
  EffectSet effects = test::only(Effect::kProductOrbits);
  effects.add(Effect::kProductClocks);
  const Sky sky(test::small_world(effects));
  PreciseOrbits orbits;
  ASSERT_TRUE(orbits.add(make_orbits(sky, sky.time(0), sky.time(7200), 300)));
  PreciseClocks clocks;
  clocks.add(make_clocks(sky, sky.time(0), sky.time(7200), 30));
  const EpochTerms terms = terms_of(sky);
  ASSERT_GT(terms.satellites.size(), 20U);
  double largest_m = 0;
  for (const SatelliteTerms& v : terms.satellites) {
    const double flight_s = v.range_m / kSpeedOfLightMps;
    const double sent_s = kAtS - flight_s;
    const auto said = orbits.orbit(v.sat, sky.time(sent_s));
    const auto clock_s = clocks.clock_s(v.sat, sky.time(sent_s));
    ASSERT_TRUE(said && clock_s);
    EXPECT_NEAR(
        norm(turn_axes(said->position_m, flight_s) - terms.arp_m) - v.range_m,
        v.product_orbit_m,
        1e-4);
    EXPECT_NEAR(kSpeedOfLightMps * *clock_s - v.satellite_clock_m,
                v.product_clock_m,
                1e-6);
    largest_m = std::fmax(largest_m, std::abs(v.product_orbit_m));
  }
  EXPECT_GT(largest_m, 0.005);
}

// The world's own observations do not know what products say of it.
TEST(SatelliteView, ProductErrorsAreInNoObservation) {
  EffectSet effects = test::only(Effect::kNoise);
  const Sky bare(test::small_world(effects));
  effects.add(Effect::kProductOrbits);
  effects.add(Effect::kProductClocks);
  const Sky with(test::small_world(effects));
  Epoch first, second;
  ASSERT_TRUE(SimulatedReceiver(bare, 0).observe(kAtS, first, nullptr));
  ASSERT_TRUE(SimulatedReceiver(with, 0).observe(kAtS, second, nullptr));
  ASSERT_EQ(first.observations.size(), second.observations.size());
  for (std::size_t i = 0; i < first.observations.size(); ++i) {
    EXPECT_EQ(first.observations[i].code_m, second.observations[i].code_m);
    EXPECT_EQ(first.observations[i].phase_cyc,
              second.observations[i].phase_cyc);
  }
}

}  // namespace
}  // namespace stillpoint::simulate

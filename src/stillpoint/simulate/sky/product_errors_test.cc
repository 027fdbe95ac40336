#include "stillpoint/simulate/sky/product_errors.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/simulate/nature/light_path.h"
#include "stillpoint/simulate/nature/vectors.h"
#include "stillpoint/simulate/simulate_test_support.h"
#include "stillpoint/simulate/sky/precise_products.h"

namespace stillpoint::simulate {
namespace {

constexpr int kSeeds = 2000;
constexpr SatId kSat{System::kGps, 7};

EffectSet both() {
  EffectSet effects = test::only(Effect::kProductOrbits);
  effects.add(Effect::kProductClocks);
  return effects;
}

Sky two_days(EffectSet effects) {
  Scenario s = test::small_world(effects);
  s.length_s = 2 * 86'400;
  return Sky(s);
}

// Calls each(errors) for the same satellite in worlds of many seeds.
template <class Each>
void for_seeds(Each&& each) {
  Scenario s = test::small_world(both());
  s.length_s = 2 * 86'400;
  for (int i = 0; i < kSeeds; ++i) {
    s.seed = static_cast<std::uint64_t>(i);
    each(ProductErrors(s, kSat));
  }
}

// kind: cross   source: the sizes of product_errors.h (from memory of published
// comparisons of final products); the axes by cross products of their own
// tolerance: 11 %, four standard deviations of the rms of some 700 independent
// values (116 satellites, nine times six hours apart, of which a third is told
// by the one before)
TEST(ProductErrors, OrbitFileHasErrorsOfTheirSizes) {
  const Sky sky = two_days(test::only(Effect::kProductOrbits));
  const PreciseProduct product = make_orbits(
      sky, sky.time(0), sky.time(sky.scenario().length_s), 6 * 3600);
  double radial = 0, along = 0, across = 0;
  int count = 0;
  for (const PreciseEpoch& epoch : product.epochs) {
    for (const PreciseSample& sample : epoch.samples) {
      const Motion m = sky.find(sample.sat)->motion(sky.seconds(epoch.time));
      const Ecef in_space =
          m.velocity_mps + cross({0, 0, kEarthRateRadps}, m.position_m);
      const Ecef off = sample.position_m - m.position_m;
      const Ecef out = unit(m.position_m);
      const Ecef normal = unit(cross(m.position_m, in_space));
      radial += std::pow(dot(off, out), 2);
      along += std::pow(dot(off, cross(normal, out)), 2);
      across += std::pow(dot(off, normal), 2);
      ++count;
    }
  }
  EXPECT_EQ(count, 9 * 116);
  EXPECT_NEAR(std::sqrt(radial / count), 0.012, 0.11 * 0.012);
  EXPECT_NEAR(std::sqrt(along / count), 0.020, 0.11 * 0.020);
  EXPECT_NEAR(std::sqrt(across / count), 0.018, 0.11 * 0.018);
}

// kind: cross   source: exp(-1) of a Gauss-Markov process six hours apart; the
// spline makes 1.105 times that of it, worked by hand: (2/3 + cosh(1/6)/3)^2
// over 0.956^2
// tolerance: 0.06, four standard deviations of the mean of 6000 products
TEST(ProductErrors, OrbitRemembersForSixHours) {
  double now = 0, later = 0;
  for_seeds([&](const ProductErrors& errors) {
    const OrbitError a = errors.orbit_m(7200),
                     b = errors.orbit_m(7200 + 21'600);
    const auto product = [](const OrbitError& p, const OrbitError& q) {
      return p.radial_m * q.radial_m / (0.012 * 0.012) +
             p.along_m * q.along_m / (0.020 * 0.020) +
             p.across_m * q.across_m / (0.018 * 0.018);
    };
    now += product(a, a) / (3 * kSeeds);
    later += product(a, b) / (3 * kSeeds);
  });
  EXPECT_NEAR(now, 1, 0.06);
  EXPECT_NEAR(later, 1.105 * std::exp(-1), 0.06);
}

// kind: cross   source: mean squares of differences, by hand of the sizes in
// product_errors.h: 2 s^2 (1 - correlation) of each part; three quarters of
// the slow part forget in two hours, a quarter as the radial error does
// (0.791 after two hours), and after a day both and the day's constant are new
// tolerance: 13 %, four standard deviations of 2000 squares
TEST(ProductErrors, ClockForgetsByTheSampleTheHourAndTheDay) {
  double sample = 0, hours = 0, day = 0;
  for_seeds([&](const ProductErrors& errors) {
    const double at_m = errors.clock_m(7200);
    const auto square = [&](double lag_s) {
      return std::pow(1e3 * (errors.clock_m(7200 + lag_s) - at_m), 2) / kSeeds;
    };
    sample += square(30);
    hours += square(7200);
    day += square(86'400);
  });
  EXPECT_NEAR(sample, 18.2, 0.13 * 18.2);
  EXPECT_NEAR(hours, 55.9, 0.13 * 55.9);
  EXPECT_NEAR(day, 1887, 0.13 * 1887);
}

// kind: cross   source: a correlation of 0.5 between 12 mm and 6 mm is 36
// mm^2 tolerance: 33 mm^2, four standard deviations of 2000 products of 12 by
// 31 mm
TEST(ProductErrors, ClockTakesPartOfTheRadialError) {
  double product = 0;
  for_seeds([&](const ProductErrors& errors) {
    product += 1e6 * errors.orbit_m(7200).radial_m * errors.clock_m(7200);
  });
  EXPECT_NEAR(product / kSeeds, 36, 33);
}

// kind: cross   source: the program's interpolation (aids/precise_orbits.h)
// tolerance: 0.1 mm, so that an orbit's error is an orbit and no jitter between
// the samples of a file
TEST(ProductErrors, OrbitIsSmoothBetweenSamples) {
  const Sky sky = two_days(test::only(Effect::kProductOrbits));
  PreciseOrbits orbits;
  ASSERT_TRUE(
      orbits.add(make_orbits(sky, sky.time(0), sky.time(8 * 3600), 300)));
  for (const Satellite& s : sky.satellites()) {
    for (double t_s = 7200; t_s < 6 * 3600; t_s += 1397) {
      const auto state = orbits.orbit(s.sat, sky.time(t_s));
      ASSERT_TRUE(state);
      const Motion m = s.motion(t_s);
      const Ecef said =
          m.position_m + in_earth_axes_m(s.product_errors.orbit_m(t_s), m);
      EXPECT_LT(norm(state->position_m - said), 1e-4) << s.sat.text();
    }
  }
}

TEST(ProductErrors, EachEffectTouchesItsOwnProductAlone) {
  const Sky bare = two_days({});
  const Sky orbits = two_days(test::only(Effect::kProductOrbits));
  const Sky clocks = two_days(test::only(Effect::kProductClocks));
  const Sky all = two_days(both());
  for (std::size_t i = 0; i < bare.satellites().size(); ++i) {
    for (const double t_s : {0.0, 4711.25, 86'400.0}) {
      const ProductErrors& o = orbits.satellites()[i].product_errors;
      const ProductErrors& c = clocks.satellites()[i].product_errors;
      const ProductErrors& a = all.satellites()[i].product_errors;
      EXPECT_EQ(o.clock_m(t_s), 0);
      EXPECT_EQ(c.orbit_m(t_s).radial_m, 0);
      EXPECT_EQ(a.clock_m(t_s), c.clock_m(t_s));
      EXPECT_EQ(a.orbit_m(t_s).along_m, o.orbit_m(t_s).along_m);
    }
  }
  const GnssTime t = bare.time(3600);
  const PreciseEpoch exact = make_orbits(bare, t, t, 300).epochs.front();
  const PreciseEpoch timed = make_orbits(clocks, t, t, 300).epochs.front();
  for (std::size_t i = 0; i < exact.samples.size(); ++i) {
    const Satellite& s = *bare.find(exact.samples[i].sat);
    EXPECT_EQ(norm(exact.samples[i].position_m - s.position(3600)), 0);
    EXPECT_EQ(exact.samples[i].clock_s, s.clock.at_s(3600));
    EXPECT_EQ(norm(timed.samples[i].position_m - s.position(3600)), 0);
    EXPECT_NE(timed.samples[i].clock_s, s.clock.at_s(3600));
  }
}

// Files of other lengths and starts tell the same of the same instant.
TEST(ProductErrors, AreAFunctionOfTheInstant) {
  Scenario s = test::small_world(both());
  s.length_s = 86'400;
  const ProductErrors first(s, kSat);
  s.start = s.start + Duration{5555};
  const ProductErrors second(s, kSat);
  EXPECT_NEAR(
      first.orbit_m(9000).radial_m, second.orbit_m(3445).radial_m, 1e-12);
  EXPECT_NEAR(first.clock_m(9000), second.clock_m(3445), 1e-12);
  EXPECT_NEAR(first.clock_m(9011), second.clock_m(3456), 1e-12);
}

}  // namespace
}  // namespace stillpoint::simulate

#include "stillpoint/solve/ppp_integers.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/solve/ppp_scene_for_tests.h"
#include "stillpoint/solve/ppp_solver.h"

namespace stillpoint::solve {
namespace {

using test::gps;
using test::Scene;

// Clocks that say of every satellite's wide lane that it is whole.
PreciseClocks whole_clocks() {
  ClockProduct product;
  const GnssTime begin = GnssTime::from_gps_week(2300, 0);
  product.epochs = {begin, begin + Duration{86'400}};
  for (int number = 1; number <= 24; ++number) {
    product.wide_lane.push_back({gps(number), begin, 0, '1', '2'});
  }
  PreciseClocks clocks;
  clocks.add(std::move(product));
  return clocks;
}

Scene noisy(unsigned seed = 1) {
  Scene scene;
  scene.phase_noise_m = 0.001;
  scene.code_noise_m = 0.2;
  scene.sky.seed = seed;
  return scene;
}

// Cycles that a satellite's both phases are off by, beside the scene's whole
// ones.
using Offset = double (*)(int number);

Solution solved(const Scene& scene,
                int epochs,
                Offset offset_cyc,
                const PreciseClocks* clocks,
                bool integers = true) {
  const test::SceneOrbits orbits;
  PppOptions options = test::scene_options();
  options.aids.clocks = clocks;
  options.integers = integers;
  PppSolver solver(options, orbits);
  for (int k = 0; k < epochs; ++k) {
    Epoch epoch = test::scene_epoch(scene, k);
    for (const SatRows& rows : epoch.satellites) {
      for (std::uint32_t i = 0; i < 2; ++i) {
        epoch.observations[rows.first + i].phase_cyc +=
            offset_cyc(rows.sat.number);
      }
    }
    solver.add(epoch);
  }
  return solver.solve();
}

double whole(int) {
  return 0;
}
double of_any_size(int number) {
  return 0.37 * number;
}

Enu error_of(const Solution& s, const Scene& scene) {
  return to_enu(s.position->ecef, scene.sky.antenna);
}

// kind: cross   the true place. Twelve skies of one hour: all answers on
// integers lie within 3 cm, and their east scatters less than half as much as
// without.
TEST(PppIntegers, AnHourStandsOnThemAndEastGainsMost) {
  const PreciseClocks clocks = whole_clocks();
  int fixed = 0;
  double with = 0, without = 0;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const Scene scene = noisy(seed);
    const Solution s = solved(scene, 120, whole, &clocks);
    const Solution f = solved(scene, 120, whole, &clocks, false);
    ASSERT_TRUE(s.position && f.position);
    EXPECT_FALSE(f.fixed);
    if (!s.fixed) {
      continue;
    }
    ++fixed;
    const Enu error = error_of(s, scene);
    EXPECT_LT(std::hypot(error.e_m, error.n_m), 0.03) << seed;
    EXPECT_GE(s.ambiguities_fixed, 5);
    EXPECT_LE(s.ambiguities_fixed, s.ambiguities);
    EXPECT_TRUE(s.ambiguity_ratio);
    EXPECT_LT(s.sigma_without_calibration_enu_m[0],
              f.sigma_without_calibration_enu_m[0]);
    with += error.e_m * error.e_m;
    without += std::pow(error_of(f, scene).e_m, 2);
  }
  EXPECT_GE(fixed, 9);
  EXPECT_LT(std::sqrt(with), 0.5 * std::sqrt(without));
}

// kind: cross   the wide lanes are whole and the narrow ones are not: whatever
// is chosen would be wrong.
TEST(PppIntegers, NoneIsCalledRightWhereThereAreNone) {
  const PreciseClocks clocks = whole_clocks();
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const Solution s = solved(noisy(seed), 240, of_any_size, &clocks);
    EXPECT_FALSE(s.fixed) << seed << ": " << s.why;
    EXPECT_NE(s.why.find("without integers"), std::string::npos) << s.why;
  }
}

// kind: cross   the true place. One satellite's phases are half a cycle off the
// whole ones, every third in turn: with or without integers, no answer may be
// drawn away, and none may be surer than it is right.
TEST(PppIntegers, OneSatelliteThatIsNoneDoesNotSpoilTheAnswer) {
  const PreciseClocks clocks = whole_clocks();
  const Offset offsets[] = {[](int number) { return number == 3 ? 0.5 : 0; },
                            [](int number) { return number == 9 ? 0.5 : 0; },
                            [](int number) { return number == 15 ? 0.5 : 0; },
                            [](int number) { return number == 21 ? 0.5 : 0; }};
  for (const Offset& offset : offsets) {
    const Scene scene = noisy();
    const Solution s = solved(scene, 240, offset, &clocks);
    ASSERT_TRUE(s.position) << s.why;
    const Enu error = error_of(s, scene);
    EXPECT_LT(std::hypot(error.e_m, error.n_m), 0.03) << s.why;
    const auto& sigma_m = s.sigma_without_calibration_enu_m;
    EXPECT_LT(std::abs(error.e_m), 3 * sigma_m[0]) << s.why;
    EXPECT_LT(std::abs(error.n_m), 3 * sigma_m[1]) << s.why;
  }
}

// kind: cross   `--ambiguities float` is the answer of products that make no
// integers, to the last bit; and each says why.
TEST(PppIntegers, NotAskedForTheyChangeNothing) {
  const PreciseClocks clocks = whole_clocks();
  const Solution a = solved(noisy(), 240, whole, &clocks, false);
  const Solution b = solved(noisy(), 240, whole, nullptr);
  EXPECT_EQ(a.position->ecef.x_m, b.position->ecef.x_m);
  EXPECT_EQ(a.position->ecef.y_m, b.position->ecef.y_m);
  EXPECT_EQ(a.position->ecef.z_m, b.position->ecef.z_m);
  EXPECT_EQ(a.sigma_enu_m, b.sigma_enu_m);
  EXPECT_EQ(a.why, b.why);
  EXPECT_NE(a.integers_from.find("--ambiguities float"), std::string::npos);
  EXPECT_NE(b.integers_from.find("neither"), std::string::npos);
}

// kind: cross   an arc cut short, one with a row behind its end and one without
// a wide lane are not tried.
TEST(PppIntegers, OnlyLongWholeArcsAreTried) {
  PppSession session;
  const GnssTime begin = GnssTime::from_gps_week(2300, 0);
  PppWideLanes lanes;
  lanes.whole = {1, 1, 1, std::nullopt};
  session.arcs.resize(4);
  for (std::uint32_t k = 0; k < 60; ++k) {
    const GnssTime t = begin + Duration{30.0 * k};
    session.epochs.push_back(
        {t, static_cast<std::uint32_t>(session.rows.size()), 4});
    for (std::uint32_t a = 0; a < 4; ++a) {
      PppRow row;
      row.arc = a;
      row.flags = a == 1 && k > 10 ? kRowPhaseOut : 0;
      session.rows.push_back(row);
      PppArc& arc = session.arcs[a];
      arc.first = begin;
      arc.last = begin + Duration{30.0 * (a == 1 ? 10 : a == 2 ? 50 : 59)};
    }
  }
  EXPECT_EQ(integer_candidates(session, lanes),
            (std::vector<bool>{true, false, false, false}));
}

}  // namespace
}  // namespace stillpoint::solve

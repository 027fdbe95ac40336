#include "stillpoint/solve/tie_solver.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::add_galileo;
using test::add_glonass;
using test::sat_of;
using test::steady_satellite;
using test::tie_epoch;
using test::tie_options;
using test::TieOrbits;
using test::TieScene;

void add_epochs(TieSolver& solver, const TieScene& scene, int from, int to) {
  for (int k = from; k < to; ++k) {
    solver.add(tie_epoch(scene, k, true), tie_epoch(scene, k, false));
  }
}

TieAnswer solved(const TieScene& scene, int epochs, const TieOptions& options) {
  const TieOrbits orbits;
  TieSolver solver(options, orbits);
  add_epochs(solver, scene, 0, epochs);
  return solver.solve();
}

TieAnswer solved(const TieScene& scene, int epochs) {
  return solved(scene, epochs, tie_options(scene));
}

double error_m(const TieAnswer& a, const TieScene& scene) {
  return a.solution.position ? norm(a.solution.position->ecef - scene.here())
                             : 1e9;
}

// Within so many of its own sigmas in each component.
bool within(const TieAnswer& a, const TieScene& scene, double sigmas) {
  const Enu d = to_enu(a.solution.position->ecef, scene.here());
  const double off[] = {d.e_m, d.n_m, d.u_m};
  for (std::size_t i = 0; i < 3; ++i) {
    if (std::abs(off[i]) > sigmas * a.solution.sigma_enu_m[i]) {
      return false;
    }
  }
  return true;
}

TieScene noisy(unsigned seed = 1) {
  TieScene scene;
  scene.phase_noise_m = 0.002;
  scene.code_noise_m = 0.3;
  scene.seed = seed;
  return scene;
}

// kind: cross   signals traced in axes that do not turn, the solver turns the
// satellite; both know the same air.
// tolerance: 0.1 mm, nanoseconds of the tags and the weak assumptions
TEST(TieSolver, FindsTheVectorOfAnErrorFreeSky) {
  TieScene scene;
  add_galileo(scene);
  add_glonass(scene);
  const TieAnswer a = solved(scene, 60);
  ASSERT_TRUE(a.solution.position) << a.solution.why;
  EXPECT_EQ(a.solution.status, SolveStatus::kConverged) << a.solution.why;
  EXPECT_TRUE(a.solution.fixed) << a.solution.integers_from;
  EXPECT_LT(error_m(a, scene), 1e-4);
  EXPECT_LT(norm(a.vector_m - (scene.here() - scene.there)), 1e-4);
  EXPECT_NEAR(a.length_m, norm(scene.here() - scene.there), 1e-4);
  EXPECT_EQ(a.solution.counts.epochs, 60);
  EXPECT_EQ(a.solution.counts.rejected, 0);
  EXPECT_EQ(*a.solution.slips, 0);
  EXPECT_EQ(a.solution.ambiguities_fixed, a.solution.ambiguities);
  EXPECT_GT(a.solution.ambiguities, 20);
  EXPECT_EQ(a.ionosphere, TieIonosphere::kNone);
  EXPECT_FALSE(a.air_estimated);
  EXPECT_EQ(a.solution.position->point, Point::kMarker);
  EXPECT_LT(*a.solution.phase_rms_m, 2e-4);
  EXPECT_EQ(a.solution.counts.satellites.size(), 3U);
}

// kind: cross   the true vector. Half hours of the usual noise of one make.
// tolerance: 4 sigmas of its own and 1 cm; all of them fixed
TEST(TieSolver, HalfAnHourOfTheUsualNoiseIsFixedAndRight) {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    const TieScene scene = noisy(seed);
    const TieAnswer a = solved(scene, 60);
    ASSERT_TRUE(a.solution.position);
    EXPECT_TRUE(a.solution.fixed) << seed << a.solution.why;
    EXPECT_LT(error_m(a, scene), 0.01) << seed;
    EXPECT_TRUE(within(a, scene, 4)) << seed;
  }
}

// kind: cross   the true vector; the float answer is less sure, and says that
// it was asked for.
TEST(TieSolver, FloatIsFloatWhenAskedFor) {
  const TieScene scene = noisy();
  TieOptions options = tie_options(scene);
  const TieAnswer fixed = solved(scene, 60, options);
  options.integers = false;
  const TieAnswer a = solved(scene, 60, options);
  ASSERT_TRUE(a.solution.position && fixed.solution.position);
  EXPECT_FALSE(a.solution.fixed);
  EXPECT_EQ(a.solution.ambiguities_fixed, 0);
  EXPECT_FALSE(a.solution.ambiguity_ratio);
  EXPECT_NE(a.solution.integers_from.find("not asked for"), std::string::npos);
  EXPECT_TRUE(within(a, scene, 4));
  EXPECT_GT(a.solution.sigma_enu_m[0], 2 * fixed.solution.sigma_enu_m[0]);
}

// kind: cross   the marker lies below the antenna by each header's offset.
// tolerance: 1 mm, the direction of the vertical at both ends
TEST(TieSolver, TakesBothAntennaHeightsOff) {
  const TieScene scene;
  TieOptions options = tie_options(scene);
  options.here.antenna_delta_enu_m = {0, 0, 1.5};
  options.there.antenna_delta_enu_m = {0.1, 0, 0.3};
  // The antenna there is where the scene has it; its marker is below.
  options.there_marker_m = from_enu({-0.1, 0, -0.3}, scene.there);
  const TieAnswer a = solved(scene, 60, options);
  ASSERT_TRUE(a.solution.position);
  const Enu d = to_enu(a.solution.position->ecef, scene.here());
  EXPECT_NEAR(d.u_m, -1.5, 0.001);
  EXPECT_NEAR(d.e_m, 0, 0.001);
  EXPECT_NEAR(d.n_m, 0, 0.001);
  options.without.add(Term::kAntennaHeight);
  EXPECT_EQ(solved(scene, 60, options).solution.position->point, Point::kArp);
}

// kind: cross   the true vector; 22 ms move satellites by 17 m where they are
// ignored; a millisecond of the codes alone is 300 km; tags may differ.
// tolerance: 0.2 mm, as above
TEST(TieSolver, DoesNotMindTheReceiversClocks) {
  TieScene late, both, codes, drift;
  late.here_receiver.clock_s = 0.022;
  both.there_receiver.jump_epoch = codes.here_receiver.jump_epoch = 25;
  both.there_receiver.code_jump_s = both.there_receiver.phase_jump_s = 1e-3;
  codes.here_receiver.code_jump_s = -1e-3;
  drift.here_receiver.drift = 1e-7;
  for (const TieScene& scene : {late, both, codes, drift}) {
    const TieAnswer a = solved(scene, 60);
    ASSERT_TRUE(a.solution.position) << a.solution.why;
    EXPECT_LT(error_m(a, scene), 2e-4);
    EXPECT_EQ(*a.solution.slips, 0);
    EXPECT_TRUE(a.solution.fixed);
  }
}

// kind: cross   the true vector, in spite of slips and gross errors.
// tolerance: 4 sigmas of its own and 1 cm
TEST(TieSolver, SlipsAndOutliersLeaveItWithinItsSigma) {
  TieScene scene = noisy();
  const TieSession clean = test::modelled_tie(scene, 120);
  const SatId sat = steady_satellite(clean, 0, 119, 0.5);
  ASSERT_NE(sat.number, 0);
  scene.slips = {{sat, 50, 1, 0}, {sat, 80, 4, 3}};
  const TieOrbits orbits;
  TieSolver solver(tie_options(scene), orbits);
  for (int k = 0; k < 120; ++k) {
    Epoch here = tie_epoch(scene, k, true);
    if (k == 30) {
      here.observations[2].phase_cyc += 0.25;
      here.observations[0].code_m += 40;
    }
    solver.add(here, tie_epoch(scene, k, false));
  }
  const TieAnswer a = solver.solve();
  ASSERT_TRUE(a.solution.position);
  EXPECT_GE(*a.solution.slips, 3);
  EXPECT_TRUE(a.solution.fixed) << a.solution.integers_from;
  EXPECT_LT(error_m(a, scene), 0.01);
  EXPECT_TRUE(within(a, scene, 4));
}

// kind: cross   the true vector, in spite of one code that is 50,000 km off.
// tolerance: 1 cm
TEST(TieSolver, OneWildCodeDoesNotKillIt) {
  const TieScene scene = noisy();
  const TieOrbits orbits;
  TieSolver solver(tie_options(scene), orbits);
  for (int k = 0; k < 60; ++k) {
    Epoch here = tie_epoch(scene, k, true);
    if (k == 7) {
      here.observations[1].code_m += 5e7;
    }
    solver.add(here, tie_epoch(scene, k, false));
  }
  const TieAnswer a = solver.solve();
  ASSERT_TRUE(a.solution.position) << a.solution.why;
  EXPECT_LT(error_m(a, scene), 0.01);
}

// kind: cross   the move that was put in, 4 cm in the middle of an hour.
TEST(TieSolver, AntennaThatWasMovedIsSaid) {
  const TieScene scene = noisy();
  const TieOrbits orbits;
  TieSolver solver(tie_options(scene), orbits);
  TieScene moved = scene;
  moved.baseline.e_m += 0.04;
  add_epochs(solver, scene, 0, 60);
  for (int k = 60; k < 120; ++k) {
    solver.add(tie_epoch(moved, k, true), tie_epoch(moved, k, false));
  }
  const TieAnswer a = solver.solve();
  EXPECT_EQ(a.solution.status, SolveStatus::kNotConverged);
  EXPECT_TRUE(
      std::any_of(a.solution.warnings.begin(),
                  a.solution.warnings.end(),
                  [](const Warning& w) { return w.code == "antenna_moved"; }));
}

TEST(TieSolver, OneEpochIsNotConverged) {
  const TieScene scene = noisy();
  const TieAnswer a = solved(scene, 1);
  EXPECT_NE(a.solution.status, SolveStatus::kConverged);
  EXPECT_FALSE(a.solution.why.empty());
  if (a.solution.position) {
    EXPECT_TRUE(within(a, scene, 4));
  }
}

// kind: cross   the true vector. One band, then another one too.
// tolerance: 4 sigmas of its own
TEST(TieSolver, ASecondBandMakesItSurer) {
  TieScene two = noisy();
  TieScene one = two;
  one.here_receiver.signals.pop_back();
  one.there_receiver.signals.pop_back();
  const TieAnswer a = solved(one, 60), b = solved(two, 60);
  ASSERT_TRUE(a.solution.position && b.solution.position);
  EXPECT_TRUE(within(a, one, 4));
  EXPECT_TRUE(within(b, two, 4));
  EXPECT_LT(a.solution.ambiguities, b.solution.ambiguities);
  // The band that only one end has.
  TieScene mixed = two;
  mixed.there_receiver.signals.pop_back();
  const TieAnswer c = solved(mixed, 60);
  ASSERT_TRUE(c.solution.position);
  EXPECT_EQ(c.solution.ambiguities, a.solution.ambiguities);
  EXPECT_NE(c.handling.find("GPS 1C"), std::string::npos);
  EXPECT_EQ(c.handling.find("2W"), std::string::npos);
}

// kind: cross   the true vector. Two makes whose GLONASS phases are 2 cm a
// channel apart and whose codes are metres.
// tolerance: 4 sigmas of its own and 1 cm
TEST(TieSolver, GlonassOfTwoMakesDoesNotSpoilIt) {
  TieScene scene = noisy();
  add_glonass(scene);
  scene.here_receiver.channel_phase_m = 0.02;
  scene.here_receiver.channel_code_m = 0.8;
  TieOptions options = tie_options(scene);
  options.there.receiver_type = "SPDEMO-R2";
  const TieAnswer a = solved(scene, 120, options);
  ASSERT_TRUE(a.solution.position);
  EXPECT_EQ(a.solution.status, SolveStatus::kConverged);
  EXPECT_TRUE(a.solution.fixed) << a.solution.integers_from;
  EXPECT_LT(error_m(a, scene), 0.01);
  EXPECT_TRUE(within(a, scene, 4));
  EXPECT_GT(a.solution.counts.satellites.at(System::kGlonass), 3);
}

// kind: cross   the true vector. Ten kilometres and 400 m of height with waves
// of the ionosphere and another air.
// tolerance: 4 sigmas of its own and 5 cm
TEST(TieSolver, TakesTheDifferenceOfTheAirApart) {
  for (unsigned seed = 1; seed <= 3; ++seed) {
    TieScene scene = noisy(seed);
    add_galileo(scene);
    scene.baseline = {6000, -8000, 400};
    scene.wave_m = 0.02;
    scene.extra_zenith_m = 0.006;
    const TieAnswer a = solved(scene, 120);
    ASSERT_TRUE(a.solution.position);
    EXPECT_EQ(a.ionosphere, TieIonosphere::kConstrained);
    EXPECT_TRUE(a.air_estimated);
    EXPECT_LT(error_m(a, scene), 0.05) << seed;
    EXPECT_TRUE(within(a, scene, 4)) << seed;
  }
}

// kind: cross   the true vector of 800 km, without noise; two hours.
// tolerance: 4 sigmas of its own and 5 cm
TEST(TieSolver, FarEndsHaveAFreeIonosphere) {
  TieScene scene;
  add_galileo(scene);
  scene.baseline = {640'000, -480'000, -50'000};
  scene.wave_m = 0.5;
  const TieAnswer a = solved(scene, 240);
  ASSERT_TRUE(a.solution.position) << a.solution.why;
  EXPECT_EQ(a.ionosphere, TieIonosphere::kFree);
  EXPECT_LT(error_m(a, scene), 0.05);
  EXPECT_TRUE(within(a, scene, 4));
}

TEST(TieSolver, SaysWhyThereIsNoVector) {
  const TieOrbits orbits;
  const TieScene scene;
  TieSolver empty(tie_options(scene), orbits);
  const auto expect_failed = [](const TieAnswer& a, const char* words) {
    EXPECT_EQ(a.solution.status, SolveStatus::kFailed);
    EXPECT_FALSE(a.solution.position);
    EXPECT_NE(a.solution.why.find(words), std::string::npos) << a.solution.why;
  };
  expect_failed(empty.solve(), "no epoch in common");
  EXPECT_TRUE(empty.series().residuals.empty());

  // Signals of which none may be differenced.
  TieScene apart = scene;
  apart.there_receiver.signals = {{System::kGps, {'1', 'W'}},
                                  {System::kGps, {'2', 'L'}}};
  const TieAnswer signals = solved(apart, 20);
  expect_failed(signals, "may be differenced");
  EXPECT_FALSE(signals.solution.counts.excluded.empty());

  TieOrbits past;
  past.last_s = 1000;
  TieSolver late(tie_options(scene), past);
  add_epochs(late, scene, 0, 20);
  const TieAnswer a = late.solve();
  expect_failed(a, "has an orbit");
  EXPECT_EQ(a.solution.counts.epochs_seen, 20);

  TieOptions mask = tie_options(scene);
  mask.elevation_mask_rad = 1.55;
  expect_failed(solved(scene, 20, mask), "elevation mask");

  // Three satellites of one epoch.
  TieOptions few = tie_options(scene);
  few.elevation_mask_rad = 0.95;
  expect_failed(solved(scene, 1, few), "do not determine");
}

TEST(TieSolver, SolvingAgainGivesTheSame) {
  TieScene scene = noisy();
  scene.here_receiver.jump_epoch = 30;
  scene.here_receiver.code_jump_s = 1e-3;
  const TieOrbits orbits;
  TieSolver solver(tie_options(scene), orbits);
  add_epochs(solver, scene, 0, 40);
  const TieAnswer early = solver.solve();
  const auto points = solver.series().residuals.size();
  const TieAnswer again = solver.solve();
  ASSERT_TRUE(early.solution.position && again.solution.position);
  EXPECT_EQ(norm(early.vector_m - again.vector_m), 0);
  EXPECT_EQ(early.solution.sigma_enu_m, again.solution.sigma_enu_m);
  EXPECT_EQ(solver.series().residuals.size(), points);
  EXPECT_GT(points, 100U);
  add_epochs(solver, scene, 40, 80);
  const TieAnswer whole = solver.solve(), fresh = solved(scene, 80);
  ASSERT_TRUE(whole.solution.position && fresh.solution.position);
  EXPECT_EQ(norm(whole.vector_m - fresh.vector_m), 0);
}

// kind: cross   the other way round it is the same vector.
// tolerance: 1 mm, the marker that stays differs, and with it the air
TEST(TieSolver, TheOtherWayRoundItIsTheSameVector) {
  TieScene scene = noisy();
  const TieAnswer a = solved(scene, 60);
  TieOptions options = tie_options(scene);
  options.there_marker_m = scene.here();
  const TieOrbits orbits;
  TieSolver solver(options, orbits);
  for (int k = 0; k < 60; ++k) {
    solver.add(tie_epoch(scene, k, false), tie_epoch(scene, k, true));
  }
  const TieAnswer b = solver.solve();
  ASSERT_TRUE(a.solution.position && b.solution.position);
  EXPECT_TRUE(a.solution.fixed && b.solution.fixed);
  EXPECT_LT(norm(a.vector_m + b.vector_m), 0.001);
}

// An antenna that is carried about has no one place.
TEST(TieSolver, DoesNotCallAMovingAntennaConvergedAndSure) {
  TieScene scene = noisy();
  const TieOrbits orbits;
  TieSolver solver(tie_options(scene), orbits);
  TieScene moving = scene;
  for (int k = 0; k < 120; ++k) {
    moving.baseline = {30 + 0.02 * k, -40, 5};
    solver.add(tie_epoch(moving, k, true), tie_epoch(moving, k, false));
  }
  const TieAnswer a = solver.solve();
  EXPECT_FALSE(a.solution.status == SolveStatus::kConverged &&
               a.solution.fixed && a.solution.sigma_enu_m[0] < 0.02);
}

}  // namespace
}  // namespace stillpoint::solve

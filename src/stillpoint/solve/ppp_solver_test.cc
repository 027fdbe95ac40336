#include "stillpoint/solve/ppp_solver.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::gps;
using test::Scene;
using test::scene_epoch;
using test::scene_options;
using test::SceneOrbits;

void add_epochs(PppSolver& solver, const Scene& scene, int first, int last) {
  for (int k = first; k < last; ++k) {
    solver.add(scene_epoch(scene, k));
  }
}

Solution solved(const Scene& scene,
                int epochs,
                const PppOptions& options = scene_options()) {
  const SceneOrbits orbits;
  PppSolver solver(options, orbits);
  add_epochs(solver, scene, 0, epochs);
  return solver.solve();
}

double error_m(const Solution& s, const Scene& scene) {
  return norm(s.position->ecef - scene.sky.antenna);
}

Scene noisy() {
  Scene scene;
  scene.phase_noise_m = 0.001;
  scene.code_noise_m = 0.2;
  return scene;
}

bool same(const Solution& a, const Solution& b) {
  return a.position->ecef.x_m == b.position->ecef.x_m &&
         a.position->ecef.y_m == b.position->ecef.y_m &&
         a.position->ecef.z_m == b.position->ecef.z_m &&
         a.sigma_enu_m == b.sigma_enu_m;
}

// kind: cross   the simulated signal is traced in axes that do not turn, the
// solver turns the satellite; both know the same air.
// tolerance: 1 mm, what nanosecond times and the weak assumptions leave
TEST(PppSolver, FindsTheAntennaOfAnErrorFreeSky) {
  const Scene scene;
  const Solution s = solved(scene, 240);
  ASSERT_TRUE(s.position) << s.why;
  EXPECT_EQ(s.status, SolveStatus::kConverged) << s.why;
  EXPECT_LT(error_m(s, scene), 0.001);
  EXPECT_EQ(s.counts.epochs, 240);
  EXPECT_EQ(s.counts.rejected, 0);
  EXPECT_EQ(*s.slips, 0);
  EXPECT_EQ(s.position->frame.name, "IGS20");
  EXPECT_EQ(s.position->point, Point::kMarker);
  EXPECT_LT(*s.phase_rms_m, 0.0005);
}

// kind: cross   22 ms move satellites by 17 m where they are ignored; a
// millisecond of the codes alone is 300 km; drifts are the clock's.
// tolerance: 1 mm, as above
TEST(PppSolver, DoesNotMindTheReceiversClock) {
  Scene late;
  late.sky.receiver_clock_s = 0.022;
  Scene jump;
  jump.jump_epoch = 100;
  jump.code_jump_s = -1e-3;
  Scene drift;
  drift.drift = 1e-7;
  for (const Scene& scene : {late, jump, drift}) {
    const Solution s = solved(scene, 240);
    ASSERT_TRUE(s.position) << s.why;
    EXPECT_LT(error_m(s, scene), 0.001);
    EXPECT_EQ(*s.slips, 0);
  }
}

// kind: cross   the marker lies below the antenna by the header's offset.
// tolerance: 1 mm, as above
TEST(PppSolver, TakesTheAntennaHeightOff) {
  const Scene scene;
  PppOptions options = scene_options();
  options.antenna_delta_enu_m = {0.1, -0.2, 1.5};
  const Solution s = solved(scene, 240, options);
  ASSERT_TRUE(s.position);
  const Enu d = to_enu(scene.sky.antenna, s.position->ecef);
  EXPECT_NEAR(d.e_m, 0.1, 0.001);
  EXPECT_NEAR(d.n_m, -0.2, 0.001);
  EXPECT_NEAR(d.u_m, 1.5, 0.001);
  options.without.add(Term::kAntennaHeight);
  EXPECT_EQ(solved(scene, 240, options).position->point, Point::kArp);
}

// kind: cross   the true place. Three hours of noise of the usual size.
// tolerance: 3 sigmas of the answer's own, 5 cm at most
TEST(PppSolver, NoiseSlipsAndOutliersLeaveItWithinItsSigma) {
  Scene scene = noisy();
  const PppSession clean = test::modelled(scene, 360);
  const SatId sat = test::satellite_above(clean, 150, 0.5);
  const SatId wrong = test::satellite_above(clean, 200, 0.8);
  ASSERT_NE(sat.number, 0);
  ASSERT_NE(wrong.number, 0);
  scene.slips = {{sat, 150, 1, 0}, {sat, 155, 4, 5}};
  const SceneOrbits orbits;
  PppSolver solver(scene_options(), orbits);
  for (int k = 0; k < 360; ++k) {
    Epoch epoch = scene_epoch(scene, k);
    for (const SatRows& rows : epoch.satellites) {
      if (k == 200 && rows.sat == wrong) {
        epoch.observations[rows.first].code_m += 6;  // 15 m combined
      }
    }
    solver.add(epoch);
  }
  const Solution s = solver.solve();
  ASSERT_TRUE(s.position);
  EXPECT_EQ(s.status, SolveStatus::kConverged) << s.why;
  EXPECT_GE(s.counts.rejected, 1);
  EXPECT_EQ(*s.slips, 2);
  const Enu d = to_enu(s.position->ecef, scene.sky.antenna);
  const double off[] = {d.e_m, d.n_m, d.u_m};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_LT(std::abs(off[i]), 3 * s.sigma_enu_m[i]);
    EXPECT_LT(std::abs(off[i]), 0.05);
  }
}

// kind: cross   the answer without the slip. One cycle on both frequencies
// moves the combination by 10.7 cm only, less than the test of single steps
// allows under 15 degrees: the residuals have to show it.
// tolerance: 2 mm, an arc in two pieces counts for less; left in, the slip
// moves the answer by 1 cm and more
TEST(PppSolver, SlipThatStepsHideIsFoundByTheResiduals) {
  const Scene clean = noisy();
  Scene scene = clean;
  scene.slips = {{gps(2), 200, 1, 1}};  // rising, at 14 degrees
  PppSession session = test::modelled(scene, 360);
  ASSERT_EQ(find_arcs(session).slips, 0);
  const Solution a = solved(clean, 360), b = solved(scene, 360);
  ASSERT_TRUE(a.position && b.position);
  EXPECT_LT(norm(a.position->ecef - b.position->ecef), 0.002);
  EXPECT_EQ(b.ambiguities, a.ambiguities + 1);
  PppOptions keep = scene_options();
  keep.without.add(Term::kOutlierRejection);
  const Solution c = solved(clean, 360, keep), d = solved(scene, 360, keep);
  ASSERT_TRUE(c.position && d.position);
  EXPECT_GT(norm(c.position->ecef - d.position->ecef), 0.01);
}

TEST(PppSolver, SigmaIsLargerForLessData) {
  const Scene scene = noisy();
  const Solution brief = solved(scene, 60), hours = solved(scene, 480);
  ASSERT_TRUE(brief.position && hours.position);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_GT(brief.sigma_without_calibration_enu_m[i],
              hours.sigma_without_calibration_enu_m[i]);
    EXPECT_GT(hours.sigma_enu_m[i], hours.sigma_without_calibration_enu_m[i]);
  }
}

TEST(PppSolver, SaysWhyThereIsNoPosition) {
  const SceneOrbits orbits;
  PppSolver empty(scene_options(), orbits);
  const Solution nothing = empty.solve();
  EXPECT_EQ(nothing.status, SolveStatus::kFailed);
  EXPECT_FALSE(nothing.position);
  EXPECT_NE(nothing.why.find("no epoch"), std::string::npos);
  EXPECT_TRUE(empty.series().residuals.empty());

  SceneOrbits past;
  past.sky.last_s = 1000;
  PppSolver late(scene_options(), past);
  add_epochs(late, Scene(), 0, 60);
  const Solution s = late.solve();
  EXPECT_EQ(s.status, SolveStatus::kFailed);
  EXPECT_FALSE(s.position);
  EXPECT_NE(s.why.find("orbit"), std::string::npos);
  EXPECT_EQ(s.counts.epochs_seen, 60);

  // Codes alone are no phase solution.
  PppSolver codes(scene_options(), orbits);
  for (int k = 0; k < 60; ++k) {
    codes.add(test::invented_epoch(36'000 + 30.0 * k, {}));
  }
  const Solution c = codes.solve();
  EXPECT_EQ(c.status, SolveStatus::kFailed);
  EXPECT_NE(c.why.find("two frequencies"), std::string::npos);
  EXPECT_FALSE(c.counts.excluded.empty());
}

TEST(PppSolver, FewMinutesAreNotConverged) {
  const Solution s = solved(noisy(), 12);
  EXPECT_EQ(s.status, SolveStatus::kNotConverged);
  EXPECT_FALSE(s.why.empty());
}

// An antenna that is carried about has no one position.
TEST(PppSolver, DoesNotCallAMovingAntennaConverged) {
  const SceneOrbits orbits;
  PppSolver solver(scene_options(), orbits);
  Scene scene = noisy();
  const Ecef start = scene.sky.antenna;
  for (int k = 0; k < 240; ++k) {
    scene.sky.antenna = from_enu({0.02 * k, 0, 0}, start);
    solver.add(scene_epoch(scene, k));
  }
  EXPECT_NE(solver.solve().status, SolveStatus::kConverged);
}

TEST(PppSolver, SolvingAgainAgreesWithAFreshSolver) {
  Scene scene = noisy();
  scene.jump_epoch = 150;
  scene.code_jump_s = 1e-3;
  const SceneOrbits orbits;
  PppSolver solver(scene_options(), orbits);
  add_epochs(solver, scene, 0, 120);
  const Solution early = solver.solve();
  ASSERT_TRUE(early.position);
  EXPECT_TRUE(same(early, solver.solve()));
  add_epochs(solver, scene, 120, 240);
  const Solution whole = solver.solve();
  const Solution fresh = solved(scene, 240);
  ASSERT_TRUE(whole.position && fresh.position);
  EXPECT_TRUE(same(whole, fresh));
  EXPECT_EQ(whole.counts.observations, fresh.counts.observations);
  EXPECT_EQ(whole.counts.rejected, fresh.counts.rejected);
  EXPECT_EQ(whole.counts.excluded, fresh.counts.excluded);
  EXPECT_EQ(whole.why, fresh.why);
  EXPECT_FALSE(same(early, whole));
}

TEST(PppSolver, RepeatsBitForBit) {
  const Solution a = solved(noisy(), 240), b = solved(noisy(), 240);
  ASSERT_TRUE(a.position && b.position);
  EXPECT_TRUE(same(a, b));
}

TEST(PppSolver, SeriesAscendAndAreComplete) {
  const SceneOrbits orbits;
  PppSolver solver(scene_options(), orbits);
  const Scene scene = noisy();
  const SatId wrong =
      test::satellite_above(test::modelled(scene, 120), 100, 0.8);
  ASSERT_NE(wrong.number, 0);
  for (int k = 0; k < 421; ++k) {
    Epoch epoch = scene_epoch(scene, k);
    for (const SatRows& rows : epoch.satellites) {
      if (k == 100 && rows.sat == wrong) {
        // 4 cm of the combination: no slip, but no noise either.
        epoch.observations[rows.first].phase_cyc += 0.083;
      }
    }
    solver.add(epoch);
  }
  const Solution s = solver.solve();
  ASSERT_TRUE(s.position);
  const PppSeries& series = solver.series();

  const GnssTime first = *s.first;
  ASSERT_EQ(series.growth.size(), 4U);  // 1, 2, 3 and 3.5 hours
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(series.growth[i].time,
              first + Duration{3600.0 * static_cast<double>(i + 1)});
  }
  const GrowthPoint& end = series.growth.back();
  EXPECT_EQ(end.time, *s.last);
  EXPECT_EQ(end.from_final_m.e_m, 0);
  EXPECT_EQ(end.from_final_m.u_m, 0);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(end.sigma_enu_m[i], s.sigma_without_calibration_enu_m[i], 1e-9);
    EXPECT_GT(series.growth[0].sigma_enu_m[i], end.sigma_enu_m[i]);
  }

  ASSERT_EQ(series.zenith.size(), 43U);  // every 5 minutes of 3.5 hours
  for (std::size_t i = 0; i < series.zenith.size(); ++i) {
    EXPECT_EQ(series.zenith[i].time,
              first + Duration{300.0 * static_cast<double>(i)});
    EXPECT_GT(series.zenith[i].sigma_m, 0);
    EXPECT_GT(series.zenith[i].zenith_delay_m, 2);
    EXPECT_LT(series.zenith[i].zenith_delay_m, 3);
  }

  EXPECT_TRUE(std::is_sorted(
      series.residuals.begin(),
      series.residuals.end(),
      [](const ResidualPoint& a, const ResidualPoint& b) {
        return std::pair(a.time, a.sat) < std::pair(b.time, b.sat);
      }));
  const auto used =
      std::count_if(series.residuals.begin(),
                    series.residuals.end(),
                    [](const ResidualPoint& r) { return r.used; });
  EXPECT_EQ(used, s.counts.observations);
  const auto out =
      std::count_if(series.residuals.begin(),
                    series.residuals.end(),
                    [](const ResidualPoint& r) { return !r.used; });
  int rejected = 0;
  for (const SatelliteFit& fit : s.satellites) {
    rejected += fit.rejected;
  }
  EXPECT_EQ(out, rejected);
  EXPECT_GE(out, 1);
}

}  // namespace
}  // namespace stillpoint::solve

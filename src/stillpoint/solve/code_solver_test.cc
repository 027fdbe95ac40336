#include "stillpoint/solve/code_solver.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/solve/synthetic_sky.h"

namespace stillpoint::solve {
namespace {

using test::invented_epoch;
using test::InventedOrbits;
using test::SkyOptions;

CodeOptions exact_options() {
  CodeOptions options;
  options.without = {Term::kShapiro};  // the invented signal has none
  return options;
}

Solution located(const SkyOptions& sky,
                 const CodeOptions& options,
                 int epochs = 60,
                 double step_s = 30) {
  const InventedOrbits orbits;
  CodeSolver solver(options, orbits);
  for (int k = 0; k < epochs; ++k) {
    solver.add(invented_epoch(36'000 + k * step_s, sky));
  }
  return solver.finish();
}

double error_m(const Solution& s, const SkyOptions& sky) {
  return norm(s.position->ecef - sky.antenna);
}

// kind: cross   the simulated signal is traced in axes that do not turn, the
// solver turns the satellite; both know the same air.
// tolerance: 2 mm, what float rows and nanosecond times leave
TEST(CodeSolver, FindsTheAntennaOfAnErrorFreeSky) {
  const SkyOptions sky;
  const Solution s = located(sky, exact_options());
  ASSERT_TRUE(s.position) << s.why;
  EXPECT_EQ(s.status, SolveStatus::kConverged);
  EXPECT_LT(error_m(s, sky), 0.002);
  EXPECT_EQ(s.counts.epochs, 60);
  EXPECT_EQ(s.position->frame.name, "IGS20");
  EXPECT_EQ(s.position->point, Point::kMarker);
}

// kind: cross   a clock 22 ms off moves satellites by 17 m if it is ignored.
TEST(CodeSolver, DoesNotMindALargeReceiverClock) {
  SkyOptions sky;
  sky.receiver_clock_s = 0.022;
  const Solution s = located(sky, exact_options());
  ASSERT_TRUE(s.position);
  EXPECT_LT(error_m(s, sky), 0.002);
}

// kind: cross   the marker lies below the antenna by the header's offset.
TEST(CodeSolver, TakesTheAntennaHeightOff) {
  const SkyOptions sky;
  CodeOptions options = exact_options();
  options.antenna_delta_enu_m = {0.1, -0.2, 1.5};
  const Solution s = located(sky, options);
  ASSERT_TRUE(s.position);
  const Enu d = to_enu(sky.antenna, s.position->ecef);
  EXPECT_NEAR(d.e_m, 0.1, 0.003);
  EXPECT_NEAR(d.n_m, -0.2, 0.003);
  EXPECT_NEAR(d.u_m, 1.5, 0.003);
  options.without.add(Term::kAntennaHeight);
  EXPECT_EQ(located(sky, options).position->point, Point::kArp);
}

// kind: cross   each correction left out moves the answer as its size says:
// Earth rotation by tens of metres east, the troposphere by metres up.
TEST(CodeSolver, LeavingOutATermMovesTheAnswerByItsSize) {
  const SkyOptions sky;
  CodeOptions options = exact_options();
  options.without.add(Term::kEarthRotation);
  const Enu turned = to_enu(located(sky, options).position->ecef, sky.antenna);
  EXPECT_NEAR(turned.e_m, 22, 6);  // 0.07 s at 310 m/s of this latitude
  options = exact_options();
  options.without.add(Term::kTroposphere);
  const Enu thick = to_enu(located(sky, options).position->ecef, sky.antenna);
  EXPECT_GT(thick.u_m, 2);
  EXPECT_LT(std::hypot(thick.e_m, thick.n_m), 3);
  options = exact_options();
  options.without.add(Term::kSatelliteClock);
  const Solution wild = located(sky, options);
  EXPECT_NE(wild.status, SolveStatus::kConverged);
}

TEST(CodeSolver, RejectsAndNamesAnOutlier) {
  const SkyOptions sky{.noise_m = 0.3};
  const InventedOrbits orbits;
  CodeSolver solver(exact_options(), orbits);
  SatId wrong;
  for (int k = 0; k < 120; ++k) {
    Epoch epoch = invented_epoch(36'000 + 30 * k, sky);
    if (k == 50) {
      wrong = epoch.satellites[0].sat;
      epoch.observations[0].code_m += 80;
    }
    solver.add(epoch);
  }
  const Solution s = solver.finish();
  ASSERT_TRUE(s.position);
  EXPECT_GE(s.counts.rejected, 1);
  ASSERT_TRUE(s.counts.excluded.contains(wrong));
  EXPECT_GE(s.counts.excluded.at(
                wrong)[static_cast<std::size_t>(Exclusion::kOutlier)],
            1);
  EXPECT_LT(error_m(s, sky), 1.5);
}

TEST(CodeSolver, NamesTheHeaderPositionAsPossiblyNational) {
  const SkyOptions sky;
  CodeOptions options = exact_options();
  options.header_position_m = from_enu({0.5, 0.4, -0.3}, sky.antenna);
  const Solution s = located(sky, options, 240);
  bool named = false;
  for (const Warning& w : s.warnings) {
    if (w.code == "header_position_differs") {
      named = w.what.find("national") != std::string::npos;
      EXPECT_NEAR(*w.size_m, std::sqrt(0.5), 0.01);
    }
  }
  EXPECT_TRUE(named);
}

TEST(CodeSolver, SaysWhyThereIsNoPosition) {
  const InventedOrbits orbits;
  CodeSolver empty({}, orbits);
  EXPECT_EQ(empty.finish().status, SolveStatus::kFailed);

  CodeOptions options;
  options.systems = {};
  options.systems.add(System::kGalileo);  // the sky has GPS alone
  CodeSolver none(options, orbits);
  none.add(invented_epoch(36'000, {}));
  const Solution s = none.finish();
  EXPECT_EQ(s.status, SolveStatus::kFailed);
  EXPECT_FALSE(s.position);
  EXPECT_FALSE(s.why.empty());
  EXPECT_EQ(s.counts.epochs_seen, 1);
  EXPECT_FALSE(s.counts.excluded.empty());
}

// Precise orbits often stop a quarter of an hour before midnight.
TEST(CodeSolver, OrbitsThatEndEarlyAreSaidAndTheSpanIsThatOfTheDataUsed) {
  InventedOrbits orbits;
  orbits.last_s = 36'000 + 30 * 59;
  CodeSolver solver(exact_options(), orbits);
  for (int k = 0; k < 90; ++k) {
    solver.add(invented_epoch(36'000 + 30 * k, {}));
  }
  const Solution s = solver.finish();
  ASSERT_TRUE(s.position);
  EXPECT_EQ(s.counts.epochs, 60);
  EXPECT_EQ(s.counts.epochs_seen, 90);
  EXPECT_NEAR(InventedOrbits::seconds(*s.last), 36'000 + 30 * 59, 0.001);
  EXPECT_NEAR(
      InventedOrbits::seconds(s.position->epoch), 36'000 + 15 * 59, 0.001);
  EXPECT_TRUE(
      std::any_of(s.warnings.begin(), s.warnings.end(), [](const Warning& w) {
        return w.code == "epochs_without_orbits" &&
               w.what.starts_with("30 epochs");
      }));
}

// An antenna that is carried about has no one position.
TEST(CodeSolver, DoesNotCallAMovingAntennaConverged) {
  const InventedOrbits orbits;
  CodeSolver solver(exact_options(), orbits);
  SkyOptions sky;
  const Ecef start = sky.antenna;
  for (int k = 0; k < 120; ++k) {
    sky.antenna = from_enu({10.0 * k, 0, 0}, start);
    solver.add(invented_epoch(36'000 + 30 * k, sky));
  }
  EXPECT_EQ(solver.finish().status, SolveStatus::kNotConverged);
}

// kind: cross   the normal law. White noise only, five skies of an hour:
// the whole sigma has terms for what this sky lacks, so the share is of the
// single epochs, whose sigma is nearly all noise.
// tolerance: three standard errors of 300 nearly independent epochs, 8 %
TEST(CodeSolver, SigmaOfSingleEpochsHoldsForWhiteNoise) {
  const InventedOrbits orbits;
  int inside = 0, all = 0;
  for (unsigned seed = 1; seed <= 5; ++seed) {
    SkyOptions sky{.noise_m = 1.5, .seed = seed};
    CodeSolver solver(exact_options(), orbits);
    for (int k = 0; k < 60; ++k) {
      solver.add(invented_epoch(36'000 + 60 * k, sky));
    }
    ASSERT_TRUE(solver.finish().position);
    for (const PiecePosition& p : solver.epoch_positions()) {
      const Enu d = to_enu(p.phase_centre, sky.antenna);
      inside += std::abs(d.e_m) < p.sigma_enu_m[0] ? 1 : 0;
      ++all;
    }
  }
  EXPECT_EQ(all, 300);
  EXPECT_NEAR(static_cast<double>(inside) / all, 0.683, 0.08);
}

TEST(CodeSolver, RepeatsBitForBit) {
  const SkyOptions sky{.noise_m = 0.5};
  const Ecef a = located(sky, exact_options()).position->ecef;
  const Ecef b = located(sky, exact_options()).position->ecef;
  EXPECT_EQ(a.x_m, b.x_m);
  EXPECT_EQ(a.y_m, b.y_m);
  EXPECT_EQ(a.z_m, b.z_m);
}

}  // namespace
}  // namespace stillpoint::solve

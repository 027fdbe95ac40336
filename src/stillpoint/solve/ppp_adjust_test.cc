#include "stillpoint/solve/ppp_adjust.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>

#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::Scene;

PppSession session_of(const Scene& scene, int epochs, const Ecef& off_m = {}) {
  PppSession session;
  test::observe(scene, 0, epochs, session);
  test::compute(scene, session, off_m);
  find_arcs(session);
  finish_arcs(session);
  return session;
}

Eigen::Vector3d line_of(const PppRow& r) {
  return {r.to_satellite.x_m, r.to_satellite.y_m, r.to_satellite.z_m};
}

// kind: cross   the reference was moved away from the place the ranges belong
// to; what is left of the movement's square is 1e-8 m.
// tolerance: 0.2 mm: moving up by 0.5 m changes the a priori air by 0.15 mm
TEST(PppAdjust, FindsBackToTheAntenna) {
  PppSession session = session_of(Scene(), 240, {0.3, -0.2, 0.5});
  PppAdjuster adjuster(session, {});
  const auto estimate = adjuster.run({}, false);
  ASSERT_TRUE(estimate);
  EXPECT_NEAR(estimate->dx_m.x(), -0.3, 2e-4);
  EXPECT_NEAR(estimate->dx_m.y(), 0.2, 2e-4);
  EXPECT_NEAR(estimate->dx_m.z(), -0.5, 2e-4);
  int phases = 0, codes = 0;
  for (const PppRow& r : session.rows) {
    phases += r.phase_used() ? 1 : 0;
    codes += r.code_used() ? 1 : 0;
    if (r.phase_used()) {
      EXPECT_NEAR(r.phase_residual_m, 0, 2e-4);
    }
  }
  EXPECT_EQ(estimate->phase_rows, phases);
  EXPECT_EQ(estimate->code_rows, codes);
  ASSERT_EQ(estimate->air_m.size(), 240U);
  ASSERT_EQ(estimate->ambiguity_m.size(), session.arcs.size());
}

// kind: cross   a second adjustment with one phase moved by 1 cm or one code by
// 1 m; least squares are linear, so the influence says the whole of it.
// tolerance: 1e-8 m, a millionth of the centimetre: with a receiver's clock of
// 90 km in codes and phases the solver's roundings came to 2e-9 m
TEST(PppAdjust, InfluenceIsWhatACentimetreMoves) {
  PppSession session = session_of(Scene(), 120);
  session.rows[300].flags |= kRowCodeOut;
  session.rows[301].flags |= kRowPhaseOut;
  PppAdjuster adjuster(session, {});
  const auto before = adjuster.run({}, false);
  ASSERT_TRUE(before);
  const auto influences = adjuster.influences({});
  ASSERT_EQ(influences.size(), session.rows.size());
  int moved = 0;
  for (const std::size_t i : {std::size_t{3},
                              std::size_t{300},
                              std::size_t{301},
                              std::size_t{500},
                              session.rows.size() - 2}) {
    for (const bool phase : {true, false}) {
      PppRow& r = session.rows[i];
      double& value_m = phase ? r.phase_m : r.code_m;
      const double by = phase ? 0.01 : 1;
      const double was_m = value_m;
      value_m += by;
      PppAdjuster again(session, {});
      const auto after = again.run({}, false);
      value_m = was_m;
      ASSERT_TRUE(after);
      const Eigen::Vector3d by_m = after->dx_m - before->dx_m;
      const Eigen::Vector3d said_m =
          by * (phase ? influences[i].phase : influences[i].code);
      EXPECT_LT((by_m - said_m).norm(), 1e-8)
          << i << (phase ? " phase" : " code");
      const bool used = phase ? r.phase_used() : r.code_used();
      EXPECT_EQ(said_m.norm() > 1e-6, used) << i;
      moved += used ? 1 : 0;
    }
  }
  EXPECT_GE(moved, 6);
}

// kind: cross   what any unbiased estimate of least squares does: a shift of
// the antenna comes out whole, a shift of the receiver's clock at one epoch or
// of all phases of an arc not at all.
// tolerance: 1e-5: position and ambiguities are held by 100 m, against
// centimetres that the data know them to (1e-8), the inverse's roundings
TEST(PppAdjust, EstimateIsUnbiased) {
  PppSession session = session_of(Scene(), 120);
  PppAdjuster adjuster(session, {});
  const auto estimate = adjuster.run({}, false);
  ASSERT_TRUE(estimate);
  const auto influences = adjuster.influences({});
  Eigen::Matrix3d shift = Eigen::Matrix3d::Zero();
  std::map<std::uint32_t, Eigen::Vector3d> arcs;
  for (const PppEpoch& epoch : session.epochs) {
    Eigen::Vector3d clock = Eigen::Vector3d::Zero();
    for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      const PppRow& r = session.rows[i];
      if (!r.modelled()) {
        continue;
      }
      const Eigen::Vector3d both = influences[i].phase + influences[i].code;
      clock += both;
      shift -= both * line_of(r).transpose();
      arcs.try_emplace(r.arc, Eigen::Vector3d::Zero()).first->second +=
          influences[i].phase;
    }
    EXPECT_LT(clock.norm(), 1e-5);
  }
  EXPECT_LT((shift - Eigen::Matrix3d::Identity()).norm(), 1e-5);
  for (const auto& [arc, sum] : arcs) {
    EXPECT_LT(sum.norm(), 1e-5) << arc;
  }
}

// kind: cross   sigmas of all rows three times as large: with little help of
// what else is assumed the formal sigma grows by less than three times.
TEST(PppAdjust, FormalSigmaGrowsWithTheNoise) {
  PppSession session = session_of(Scene(), 120);
  PppAdjuster adjuster(session, {});
  PppNoise noise;
  const double quiet = adjuster.run(noise, false)->formal_m2.trace();
  noise.phase_factor.fill(3);
  noise.code_factor.fill(3);
  const double loud = adjuster.run(noise, false)->formal_m2.trace();
  EXPECT_GT(loud, 2 * quiet);
  EXPECT_LT(loud, 9 * quiet);
}

TEST(PppAdjust, MilestonesAreEveryHourAndTheEnd) {
  PppSession session = session_of(Scene(), 301);
  PppAdjuster adjuster(session, {});
  const auto estimate = adjuster.run({}, true);
  ASSERT_TRUE(estimate);
  ASSERT_EQ(estimate->milestones.size(), 3U);
  EXPECT_EQ(estimate->milestones[0].epoch, 120U);
  EXPECT_EQ(estimate->milestones[1].epoch, 240U);
  EXPECT_EQ(estimate->milestones[2].epoch, 300U);
  EXPECT_EQ(estimate->milestones[2].dx_m, estimate->dx_m);
  EXPECT_GT(estimate->milestones[0].formal_m2.trace(),
            estimate->milestones[2].formal_m2.trace());
  const auto plain = PppAdjuster(session, {}).run({}, false);
  EXPECT_TRUE(plain->milestones.empty());
  EXPECT_EQ(plain->dx_m, estimate->dx_m);
}

// kind: cross   Chen & Herring's factor by hand: at 30 degrees cos / (sin^2 +
// 0.0032 cos) = 0.8660 / 0.25277.
// tolerance: 1e-6, angles are floats
TEST(PppAdjust, GradientsActTowardsTheirAzimuth) {
  PppRow r;
  r.elevation_rad = static_cast<float>(std::numbers::pi / 6);
  const double cosine = std::cos(std::numbers::pi / 6);
  const double factor = cosine / (0.25 + 0.0032 * cosine);
  r.azimuth_rad = 0;
  EXPECT_NEAR(gradient_factors(r)[0], factor, 2e-6);
  EXPECT_NEAR(gradient_factors(r)[1], 0, 1e-6);
  r.azimuth_rad = static_cast<float>(std::numbers::pi / 2);
  EXPECT_NEAR(gradient_factors(r)[0], 0, 1e-6);
  EXPECT_NEAR(gradient_factors(r)[1], factor, 2e-6);
}

// kind: cross   air that the a priori model lacks is found as zenith delay.
// tolerance: 2 mm: 1 / sin and the wet mapping differ by 1 % at 7 degrees, and
// the walk may follow part of it
TEST(PppAdjust, AirBesideTheModelIsZenithDelay) {
  Scene scene;
  scene.extra_zenith_m = 0.05;
  PppSession session = session_of(scene, 480);
  PppAdjuster adjuster(session, {});
  const auto estimate = adjuster.run({}, false);
  ASSERT_TRUE(estimate);
  EXPECT_NEAR(estimate->air_m[240][0], 0.05, 0.002);
}

// kind: cross   kept ambiguities are eliminated at the end instead of when
// their arc ends; a constraint taken back leaves what was there.
// tolerance: 1e-7 m, roundings of normals with a weight of 1e8 in them
TEST(PppAdjust, KeptAmbiguitiesCanBeHeldAndLetGo) {
  PppSession session = session_of(Scene(), 240, {0.3, -0.2, 0.5});
  PppAdjuster plain(session, {});
  const auto expected = plain.run({}, true);
  ASSERT_TRUE(expected);
  std::vector<std::uint32_t> arcs;
  std::vector<bool> keep(session.arcs.size(), false);
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    if (session.arcs[a].rows > 60) {
      keep[a] = true;
      arcs.push_back(a);
    }
  }
  ASSERT_GT(arcs.size(), 4U);
  PppAdjuster adjuster(session, {});
  auto estimate = adjuster.run({}, true, keep);
  ASSERT_TRUE(estimate);
  EXPECT_LT((estimate->dx_m - expected->dx_m).norm(), 1e-7);
  Eigen::VectorXd values_m;
  Eigen::MatrixXd covariance_m2;
  ASSERT_TRUE(adjuster.ambiguities(arcs, values_m, covariance_m2));
  for (std::size_t i = 0; i < arcs.size(); ++i) {
    EXPECT_NEAR(values_m(static_cast<Eigen::Index>(i)),
                expected->ambiguity_m[arcs[i]],
                1e-7);
  }
  // A difference held 5 mm off its value goes there, and back again.
  const double was_m = values_m(0) - values_m(1);
  const PppAdjuster::ArcTerm terms[] = {{arcs[0], 1}, {arcs[1], -1}};
  adjuster.constrain(terms, was_m + 0.005, 1e8);
  ASSERT_TRUE(adjuster.refresh(*estimate));
  EXPECT_NEAR(estimate->ambiguity_m[arcs[0]] - estimate->ambiguity_m[arcs[1]],
              was_m + 0.005,
              1e-4);
  EXPECT_GT((estimate->dx_m - expected->dx_m).norm(), 1e-4);
  EXPECT_EQ(estimate->milestones.back().dx_m, estimate->dx_m);
  adjuster.constrain(terms, was_m + 0.005, -1e8);
  ASSERT_TRUE(adjuster.refresh(*estimate));
  EXPECT_LT((estimate->dx_m - expected->dx_m).norm(), 1e-7);
}

}  // namespace
}  // namespace stillpoint::solve

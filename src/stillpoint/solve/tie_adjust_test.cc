#include "stillpoint/solve/tie_adjust.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::ready_tie;
using test::TieScene;

Eigen::Vector3d vector_of(const Ecef& v) {
  return {v.x_m, v.y_m, v.z_m};
}

TieEstimate adjusted(TieSession& session,
                     const TieAir& air = {},
                     bool for_integers = false) {
  TieAdjuster adjuster(session, {});
  TieEstimate estimate;
  EXPECT_TRUE(adjuster.run(TieNoise(session.groups.size()), air, for_integers));
  EXPECT_TRUE(adjuster.finish(estimate));
  return estimate;
}

// One sigma of 1 cm each way, so that both unknowns exist.
TieAir constrained() {
  TieAir air;
  air.ionosphere = TieIonosphere::kConstrained;
  air.ionosphere_m = 0.01;
  air.slope_m = 0.012;
  air.zenith_m = 0.01;
  air.zenith_walk_m = 0.004;
  return air;
}

TieAir free_air() {
  TieAir air;
  air.ionosphere = TieIonosphere::kFree;
  return air;
}

TieScene three_systems() {
  TieScene scene;
  test::add_galileo(scene);
  test::add_glonass(scene);
  return scene;
}

// kind: cross   the reference was moved away from the place that the invented
// ranges belong to, level with the ground (the air stays the same).
// tolerance: 0.1 mm: priors of 30 m pull by a ten-thousandth of the codes'
// weight, the square of the move leaves 1e-8 m
TEST(TieAdjust, FindsBackToTheAntenna) {
  const TieScene scene = three_systems();
  const Ecef off = from_enu({0.3, -0.2, 0}, scene.here()) - scene.here();
  for (const TieAir& air : {TieAir{}, constrained(), free_air()}) {
    for (const bool for_integers : {false, true}) {
      TieSession session = ready_tie(scene, 120, off);
      const TieEstimate e = adjusted(session, air, for_integers);
      EXPECT_LT((e.dx_m + vector_of(off)).norm(), 1e-4)
          << ionosphere_name(air.ionosphere);
      int phases = 0, codes = 0;
      for (const TieSight& s : session.sights) {
        for (const TieRow& r : session.rows_of(s)) {
          phases += s.modelled && r.phase_used() ? 1 : 0;
          codes += s.modelled && r.code_used() ? 1 : 0;
          if (s.modelled && r.phase_used()) {
            EXPECT_LT(std::abs(r.phase_residual_m), 2e-4F);
            EXPECT_LT(std::abs(r.code_residual_m), 1e-3F);
          }
        }
      }
      EXPECT_EQ(e.phase_rows, phases);
      EXPECT_EQ(e.code_rows, codes);
    }
  }
}

// kind: cross   a second adjustment with one phase moved by 1 cm or one code by
// 1 m; least squares are linear, so the influence says the whole of it.
// tolerance: 1e-8 m, a millionth of the centimetre; the clocks agree, since
// 150 km of their difference leave roundings of 5e-8 m
TEST(TieAdjust, InfluenceIsWhatACentimetreMoves) {
  TieScene scene = three_systems();
  scene.there_receiver.clock_s = scene.here_receiver.clock_s;
  for (const TieAir& air : {TieAir{}, constrained(), free_air()}) {
    TieSession session = ready_tie(scene, 60);
    session.rows[300].flags |= kTieCodeOut;
    session.rows[301].flags |= kTiePhaseOut;
    TieNoise noise(session.groups.size());
    noise.phase_factor[1] = 1.7;
    noise.code_factor[0] = 0.6;
    TieAdjuster adjuster(session, {});
    TieEstimate before;
    ASSERT_TRUE(adjuster.run(noise, air, true) && adjuster.finish(before));
    const auto influences = adjuster.influences(noise);
    ASSERT_EQ(influences.size(), session.rows.size());
    int moved = 0;
    for (const std::size_t i : {std::size_t{3},
                                std::size_t{300},
                                std::size_t{301},
                                std::size_t{802},
                                session.rows.size() - 2}) {
      for (const bool phase : {true, false}) {
        TieRow& r = session.rows[i];
        double& value_m = phase ? r.phase_m : r.code_m;
        const double by = phase ? 0.01 : 1;
        const double was_m = value_m;
        value_m += by;
        TieAdjuster again(session, {});
        TieEstimate after;
        ASSERT_TRUE(again.run(noise, air, true) && again.finish(after));
        value_m = was_m;
        const Eigen::Vector3d by_m = after.dx_m - before.dx_m;
        const Eigen::Vector3d said_m =
            by * (phase ? influences[i].phase : influences[i].code);
        EXPECT_LT((by_m - said_m).norm(), 1e-8)
            << i << (phase ? " phase" : " code");
        const bool used = phase ? r.phase_used() : r.code_used();
        EXPECT_EQ(said_m.norm() > 1e-7, used) << i << phase;
        moved += used ? 1 : 0;
      }
    }
    EXPECT_EQ(moved, 8);
  }
}

// kind: cross   the same after whole numbers are held.
// tolerance: 1e-8 m, as above
TEST(TieAdjust, InfluencesKnowOfWhatIsHeld) {
  TieSession session = ready_tie(TieScene(), 60);
  const TieNoise noise(session.groups.size());
  std::vector<std::uint32_t> arcs;
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    if (session.arcs[a].group == 0 && session.arcs[a].rows > 30) {
      arcs.push_back(a);
    }
  }
  ASSERT_GE(arcs.size(), 4U);
  std::vector<TieHold> holds;
  for (std::size_t i = 1; i < arcs.size(); ++i) {
    holds.push_back({{{arcs[i], 1}, {arcs[0], -1}}, 3});
  }
  const auto held = [&](TieEstimate& out) {
    TieAdjuster adjuster(session, {});
    EXPECT_TRUE(adjuster.run(noise, {}, true));
    adjuster.hold(holds);
    EXPECT_TRUE(adjuster.finish(out));
    return adjuster.influences(noise);
  };
  TieEstimate before, after;
  const auto influences = held(before);
  ASSERT_EQ(influences.size(), session.rows.size());
  session.rows[100].phase_m += 0.01;
  held(after);
  EXPECT_LT((after.dx_m - before.dx_m - 0.01 * influences[100].phase).norm(),
            1e-8);
}

// kind: cross   an unbiased estimate: a shift of the antenna comes out whole;
// a shift of a group's clock at one epoch, or of all phases of an arc, not at
// all.
// tolerance: 1e-4: position and ambiguities are held by 30 m, against
// decimetres that an hour of float phases knows them to
TEST(TieAdjust, EstimateIsUnbiased) {
  TieSession session = ready_tie(three_systems(), 120);
  const TieNoise noise(session.groups.size());
  TieAdjuster adjuster(session, {});
  TieEstimate estimate;
  ASSERT_TRUE(adjuster.run(noise, {}, false) && adjuster.finish(estimate));
  const auto influences = adjuster.influences(noise);
  ASSERT_EQ(influences.size(), session.rows.size());
  Eigen::Matrix3d shift = Eigen::Matrix3d::Zero();
  std::map<std::uint32_t, Eigen::Vector3d> arcs;
  double largest = 0;
  for (const TieEpoch& epoch : session.epochs) {
    std::map<std::uint16_t, Eigen::Vector3d> phases, codes;
    for (const TieSight& s : session.sights_of(epoch)) {
      for (std::uint32_t j = s.first; s.modelled && j < s.first + s.count;
           ++j) {
        const TieRow& r = session.rows[j];
        const auto& i = influences[j];
        const Eigen::Vector3d zero = Eigen::Vector3d::Zero();
        shift -= (i.phase + i.code) * vector_of(s.to_satellite).transpose();
        phases.try_emplace(r.group, zero).first->second += i.phase;
        codes.try_emplace(r.group, zero).first->second += i.code;
        arcs.try_emplace(r.arc, zero).first->second += i.phase;
        largest = std::max(largest, i.phase.norm());
      }
    }
    for (const auto& sums : {phases, codes}) {
      for (const auto& [group, sum] : sums) {
        EXPECT_LT(sum.norm(), 1e-9);
      }
    }
  }
  EXPECT_GT(largest, 1e-3);
  EXPECT_LT((shift - Eigen::Matrix3d::Identity()).norm(), 1e-4);
  for (const auto& [arc, sum] : arcs) {
    EXPECT_LT(sum.norm(), 1e-4);
  }
}

// kind: cross   what the rows were made with: half a decimetre of wet air, and
// nothing that is not there.
// tolerance: 2 mm: the prior of 0.1 m pulls by its square against the
// data's millimetres; the mean mapping is that of two places 50 m apart
TEST(TieAdjust, FindsTheRelativeZenithDelay) {
  TieScene scene;
  scene.extra_zenith_m = 0.05;
  TieSession session = ready_tie(scene, 240);
  TieAir air;
  air.zenith_m = 0.1;
  air.zenith_walk_m = 0.001;
  const TieEstimate e = adjusted(session, air);
  EXPECT_NEAR(e.zenith_m, 0.05, 0.002);
  EXPECT_LT(e.dx_m.norm(), 0.003);
  // Without the unknown the height takes it up.
  EXPECT_GT(adjusted(session).dx_m.norm(), 0.03);
}

// kind: cross   what the rows were made with: waves of an hour, 2 cm.
// tolerance: a third: what all satellites share the slope takes up, part of the
// rest the phases' own noise as assumed; without the unknown it is all of it
TEST(TieAdjust, FindsTheIonospheresDifference) {
  TieScene scene;
  scene.baseline = {3000, -4000, 20};
  scene.wave_m = 0.02;
  TieSession session = ready_tie(scene, 240);
  TieAir air = constrained();
  air.zenith_m = 0;
  air.ionosphere_m = air.slope_m = 0.03;
  const TieEstimate e = adjusted(session, air);
  ASSERT_EQ(e.ionosphere_m.size(), session.sights.size());
  double moved = 0, right = 0;
  std::size_t changes = 0;
  for (const TieEpoch& epoch : session.epochs) {
    const double t_s = test::InventedOrbits::seconds(epoch.time);
    std::map<int, std::pair<double, double>> now;
    double mean_said = 0, mean_true = 0;
    for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      const TieSight& s = session.sights[i];
      if (!s.modelled) {
        EXPECT_TRUE(std::isnan(e.ionosphere_m[i]));
        continue;
      }
      const double truth = 0.02 * std::sin(2 * std::numbers::pi * t_s / 3600 +
                                           1.3 * s.sat.index());
      now[s.sat.index()] = {e.ionosphere_m[i], truth};
    }
    for (const auto& [sat, v] : now) {
      mean_said += v.first / static_cast<double>(now.size());
      mean_true += v.second / static_cast<double>(now.size());
    }
    for (const auto& [sat, v] : now) {
      moved += std::pow(v.first - mean_said - (v.second - mean_true), 2);
      right += std::pow(v.second - mean_true, 2);
      ++changes;
    }
  }
  ASSERT_GT(changes, 1000U);
  EXPECT_LT(std::sqrt(moved / right), 0.3);
}

// kind: cross   the slope of channels that the rows were made with.
// tolerance: 1 mm of 20, what the prior of 25 mm leaves beside hours of data
TEST(TieAdjust, GlonassChannelsOfTwoMakesAreNoAmbiguities) {
  TieScene scene;
  test::add_glonass(scene);
  scene.here_receiver.channel_phase_m = 0.02;
  scene.there_receiver.channel_phase_m = -0.005;
  TieSession session = ready_tie(scene, 120);
  const TieEstimate e = adjusted(session, {}, true);
  EXPECT_LT(e.dx_m.norm(), 2e-4);
  for (const TieRow& r : session.rows) {
    EXPECT_FALSE(std::abs(r.phase_residual_m) > 1e-3F);
  }
}

// kind: published   source: GLONASS ICD 5.1 (2008), table 3.1 (from memory):
// channel 0 at 1602 and 1246 MHz, steps of 562.5 and 437.5 kHz
TEST(TieAdjust, ChannelsComeFromCarriers) {
  for (int channel = -7; channel <= 6; ++channel) {
    EXPECT_EQ(channel_of({System::kGlonass, {'1', 'C'}, {'1', 'C'}},
                         kSpeedOfLightMps / (1602e6 + 562.5e3 * channel)),
              channel);
    EXPECT_EQ(channel_of({System::kGlonass, {'2', 'P'}, {'2', 'P'}},
                         kSpeedOfLightMps / (1246e6 + 437.5e3 * channel)),
              channel);
  }
  EXPECT_EQ(channel_of({System::kGlonass, {'3', 'Q'}, {'3', 'Q'}},
                       kSpeedOfLightMps / 1202.025e6),
            0);
  EXPECT_EQ(channel_of({System::kGps, {'1', 'C'}, {'1', 'C'}}, 0.19), 0);
}

// kind: cross   the square of the wavelengths at the zenith (the ionosphere's
// first-order law); a ray at the horizon of a shell at 450 km.
// tolerance: 1e-12 and 1e-6, the elevation is a float
TEST(TieAdjust, IonosphereGrowsWithTheWavelengthAndTowardsTheHorizon) {
  const double first_m = kSpeedOfLightMps / 1575.42e6;
  TieSight s;
  s.elevation_rad = static_cast<float>(std::numbers::pi / 2);
  EXPECT_NEAR(ionosphere_factor(s, first_m), 1, 1e-12);
  EXPECT_NEAR(ionosphere_factor(s, kSpeedOfLightMps / 1227.60e6),
              std::pow(77.0 / 60.0, 2),
              1e-12);
  s.elevation_rad = 0;
  const double ratio = 6371.0 / 6821.0;
  EXPECT_NEAR(
      ionosphere_factor(s, first_m), 1 / std::sqrt(1 - ratio * ratio), 1e-6);
}

// kind: cross   what the phases were made with: whole cycles of both ends.
// tolerance: 0.02 cycles, an hour without noise under priors of 30 m
TEST(TieAdjust, DifferencesOfAmbiguitiesAreWholeAndHolding) {
  const TieScene scene;
  TieSession session = ready_tie(scene, 120);
  const TieNoise noise(session.groups.size());
  TieAdjuster adjuster(session, {});
  ASSERT_TRUE(adjuster.run(noise, {}, true));
  std::vector<std::uint32_t> arcs;
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    EXPECT_TRUE(adjuster.has_ambiguity(a));
    if (session.arcs[a].group == 1) {
      arcs.push_back(a);
    }
  }
  const auto found = adjuster.ambiguities(arcs);
  ASSERT_TRUE(found);
  ASSERT_EQ(found->values_cyc.size(), static_cast<Eigen::Index>(arcs.size()));
  std::vector<TieHold> holds;
  for (std::size_t i = 1; i < arcs.size(); ++i) {
    const double difference =
        found->values_cyc(static_cast<Eigen::Index>(i)) - found->values_cyc(0);
    EXPECT_NEAR(difference, std::round(difference), 0.02);
    // What was made, less what was taken off.
    const auto made = [&](std::uint32_t a) {
      const TieArc& arc = session.arcs[a];
      return test::whole_cycles(arc.sat, 1, true) -
             test::whole_cycles(arc.sat, 1, false) - arc.offset_cyc;
    };
    EXPECT_EQ(std::round(difference), made(arcs[i]) - made(arcs[0]));
    holds.push_back({{{arcs[i], 1}, {arcs[0], -1}}, std::round(difference)});
  }
  TieEstimate floating, fixed;
  ASSERT_TRUE(adjuster.finish(floating));
  adjuster.hold(holds);
  ASSERT_TRUE(adjuster.finish(fixed));
  EXPECT_LT(fixed.formal_m2.trace(), 0.25 * floating.formal_m2.trace());
  EXPECT_LT(fixed.dx_m.norm(), 1e-4);
  const auto after = adjuster.ambiguities(arcs);
  ASSERT_TRUE(after);
  for (std::size_t i = 1; i < arcs.size(); ++i) {
    EXPECT_NEAR(
        after->values_cyc(static_cast<Eigen::Index>(i)) - after->values_cyc(0),
        holds[i - 1].value_cyc,
        1e-5);
  }
}

// kind: cross   a wrong whole number moves the answer as the covariance with
// the position says: gain times misclosure.
// tolerance: 1e-7 m, the hold's own sigma of 1e-4 cycles
TEST(TieAdjust, AHoldMovesThePositionByItsGain) {
  TieSession session = ready_tie(TieScene(), 60);
  TieAdjuster adjuster(session, {});
  ASSERT_TRUE(adjuster.run(TieNoise(session.groups.size()), {}, true));
  const std::vector<std::uint32_t> arcs = {0, 2};
  ASSERT_EQ(session.arcs[0].group, session.arcs[2].group);
  const auto a = adjuster.ambiguities(arcs);
  ASSERT_TRUE(a);
  const Eigen::Vector2d d(1, -1);
  const double off = 5 - d.dot(a->values_cyc);
  const Eigen::Vector3d gain =
      a->with_position_m_cyc * d / (d.dot(a->covariance_cyc2 * d) + 1e-8);
  TieEstimate before, after;
  ASSERT_TRUE(adjuster.finish(before));
  adjuster.hold({{{{0, 1}, {2, -1}}, 5}});
  ASSERT_TRUE(adjuster.finish(after));
  EXPECT_GT((after.dx_m - before.dx_m).norm(), 0.01);
  EXPECT_LT((after.dx_m - before.dx_m - off * gain).norm(), 1e-7);
}

// Notes at every full hour, and at the end, whichever epochs are adjusted.
TEST(TieAdjust, GrowthIsNotedAtFullHours) {
  for (const std::size_t stride : {std::size_t{1}, std::size_t{7}}) {
    TieSession session = ready_tie(TieScene(), 300);  // 2.5 hours
    session.stride = stride;
    const TieEstimate e = adjusted(session, {}, true);
    ASSERT_EQ(e.milestones.size(), 3U) << stride;
    double before = 1e9;
    for (std::size_t i = 0; i < 3; ++i) {
      const TieMilestone& m = e.milestones[i];
      EXPECT_TRUE(session.adjusted(m.epoch));
      EXPECT_LT(m.formal_m2.trace(), before);
      before = m.formal_m2.trace();
      const double since_s =
          (session.epochs[m.epoch].time - session.epochs[0].time).s;
      EXPECT_LT(std::abs(since_s -
                         (i < 2 ? 3600.0 * static_cast<double>(i + 1) : 8970)),
                30.0 * static_cast<double>(stride) + 1);
    }
  }
}

TEST(TieAdjust, WithoutRowsThereIsNoEstimate) {
  TieSession session = ready_tie(TieScene(), 10);
  for (TieSight& s : session.sights) {
    s.modelled = false;
  }
  TieAdjuster adjuster(session, {});
  EXPECT_FALSE(adjuster.run(TieNoise(session.groups.size()), {}, false));
}

}  // namespace
}  // namespace stillpoint::solve

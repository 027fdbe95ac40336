#include "stillpoint/solve/tie_integers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::ready_tie;
using test::steady_satellite;
using test::TieScene;

TieScene noisy(unsigned seed = 1) {
  TieScene scene;
  scene.phase_noise_m = 0.002;
  scene.code_noise_m = 0.3;
  scene.seed = seed;
  return scene;
}

// A session with its float adjustment, ambiguities kept.
struct Floated {
  TieSession session;
  TieNoise noise;
  TieAdjuster adjuster;
  TieEstimate estimate;

  explicit Floated(TieSession s)
      : session(std::move(s)),
        noise(session.groups.size()),
        adjuster(session, {}) {
    EXPECT_TRUE(adjuster.run(noise, {}, true));
    EXPECT_TRUE(adjuster.finish(estimate));
  }
};

// Whole cycles that the scene put into an arc, less what was taken off.
double made_cyc(const TieArc& arc) {
  const std::size_t signal = arc.group;
  return test::whole_cycles(arc.sat, signal, true) -
         test::whole_cycles(arc.sat, signal, false) - arc.offset_cyc;
}

void expect_true_holds(const TieSession& session, const TieIntegers& found) {
  for (const TieHold& h : found.holds) {
    double sum = 0, factors = 0;
    for (const TieHold::Term& t : h.terms) {
      sum += t.factor * made_cyc(session.arcs[t.arc]);
      factors += t.factor;
    }
    EXPECT_EQ(factors, 0);
    EXPECT_EQ(sum, h.value_cyc);
  }
}

// Arcs come and go over six hours; those that never met the reference are
// joined to it by others in between.
TEST(TieIntegers, ArcsThatNeverMeetAreJoinedByOthers) {
  Floated f(ready_tie(TieScene(), 720));
  const auto reference = arc_references(f.session, f.adjuster);
  std::set<std::uint32_t> references[2];
  int apart = 0;
  for (std::uint32_t a = 0; a < f.session.arcs.size(); ++a) {
    const TieArc& arc = f.session.arcs[a];
    const TieArc& other = f.session.arcs[reference[a]];
    EXPECT_EQ(other.group, arc.group);
    if ((arc.last - arc.first).s < 300) {
      EXPECT_EQ(reference[a], a);
      continue;
    }
    references[arc.group].insert(reference[a]);
    EXPECT_GE(other.rows, arc.rows);
    apart += arc.first > other.last || arc.last < other.first ? 1 : 0;
  }
  EXPECT_EQ(references[0].size(), 1U);
  EXPECT_EQ(references[1].size(), 1U);
  EXPECT_GT(apart, 0);
}

// All lock is lost for a quarter of an hour: nothing joins before and after.
TEST(TieIntegers, WhatNothingJoinsHasTwoReferences) {
  TieSession session = test::modelled_tie(noisy(), 360);
  for (std::size_t k = 180; k < 210; ++k) {
    for (TieSight& s : session.sights_of(session.epochs[k])) {
      s.modelled = false;
    }
  }
  find_tie_arcs(session, 50);
  finish_tie_arcs(session);
  Floated f(std::move(session));
  const auto reference = arc_references(f.session, f.adjuster);
  const GnssTime middle = f.session.epochs[195].time;
  std::set<std::uint32_t> before, after;
  for (std::uint32_t a = 0; a < f.session.arcs.size(); ++a) {
    const TieArc& arc = f.session.arcs[a];
    if (reference[a] != a) {
      (arc.first < middle ? before : after).insert(reference[a]);
      EXPECT_EQ(arc.first < middle,
                f.session.arcs[reference[a]].first < middle);
    }
  }
  EXPECT_EQ(before.size(), 2U);  // of two bands
  EXPECT_EQ(after.size(), 2U);
  const TieIntegers found = search_integers(f.session, f.adjuster, 0.001);
  EXPECT_GE(found.holds.size(), 12U);
  expect_true_holds(f.session, found);
}

TEST(TieIntegers, ArcsThatMayNotBeIntegersHaveThemselves) {
  TieSession session = ready_tie(TieScene(), 120);
  session.arcs[1].holdable = false;
  Floated f(std::move(session));
  const auto reference = arc_references(f.session, f.adjuster);
  EXPECT_EQ(reference[1], 1U);
  for (std::uint32_t a = 0; a < f.session.arcs.size(); ++a) {
    if (a != 1) {
      EXPECT_NE(reference[a], 1U);
    }
  }
}

// kind: cross   the whole numbers that the phases were made with, of ten skies;
// the position moves as the search says, and to the true place.
// tolerance: 1e-5 m, the holds' sigma of 1e-4 cycles; 1 cm of half an hour's
// phases
TEST(TieIntegers, FindsTheNumbersThatWereMade) {
  std::size_t held = 0;
  for (unsigned seed = 1; seed <= 10; ++seed) {
    Floated f(ready_tie(noisy(seed), 60));
    const TieIntegers found = search_integers(f.session, f.adjuster, 0.001);
    held += found.holds.size();
    expect_true_holds(f.session, found);
    if (found.holds.empty()) {
      continue;
    }
    EXPECT_LT(found.misfit, 3);
    TieEstimate fixed;
    f.adjuster.hold(found.holds);
    ASSERT_TRUE(f.adjuster.finish(fixed));
    EXPECT_LT((fixed.dx_m - f.estimate.dx_m - found.shift_m).norm(), 1e-5);
    EXPECT_LT(fixed.dx_m.norm(), 0.01);
    const double off =
        found.shift_m.dot((found.room_m2 + 1e-8 * Eigen::Matrix3d::Identity())
                              .ldlt()
                              .solve(found.shift_m));
    EXPECT_LT(off, 42);
  }
  EXPECT_GE(held, 80U);
}

// kind: cross   one satellite's first band is half a cycle off whole numbers
// (a receiver that does not know its half cycles): it is named, the others are
// held at what was made.
TEST(TieIntegers, AnArcThatIsNoIntegerIsNamed) {
  const TieSession clean = ready_tie(noisy(), 120);
  Floated whole(clean);
  const auto reference = arc_references(whole.session, whole.adjuster);
  int named = 0, tried = 0;
  for (std::uint32_t a = 0; a < clean.arcs.size(); ++a) {
    if (clean.arcs[a].group != 0 || reference[a] == a ||
        clean.arcs[a].rows < 60) {
      continue;
    }
    ++tried;
    TieScene scene = noisy();
    scene.slips = {{clean.arcs[a].sat, 0, 0.5, 0}};
    Floated f(ready_tie(scene, 120));
    const TieIntegers found = search_integers(f.session, f.adjuster, 0.001);
    named += f.session.arcs[a].holdable ? 0 : 1;
    ASSERT_EQ(found.fixed.size(), f.session.arcs.size());
    EXPECT_FALSE(found.fixed[a]);
    expect_true_holds(f.session, found);
  }
  EXPECT_GE(tried, 3);
  EXPECT_EQ(named, tried);
}

// kind: cross   the same, of the arc that the others refer to. Whatever is
// held, nothing may be wrong.
TEST(TieIntegers, AReferenceThatIsNoIntegerSpoilsNothing) {
  const TieSession clean = ready_tie(noisy(), 120);
  Floated whole(clean);
  const auto reference = arc_references(whole.session, whole.adjuster);
  for (std::uint32_t a = 0; a < clean.arcs.size(); ++a) {
    const auto b = reference[a];
    if (b == a || clean.arcs[b].group != 0) {
      continue;
    }
    TieScene scene = noisy();
    scene.slips = {{clean.arcs[b].sat, 0, 0.5, 0}};
    Floated f(ready_tie(scene, 120));
    const TieIntegers found = search_integers(f.session, f.adjuster, 0.001);
    RecordProperty("held", static_cast<int>(found.holds.size()));
    f.adjuster.hold(found.holds);
    TieEstimate fixed;
    ASSERT_TRUE(f.adjuster.finish(fixed));
    EXPECT_LT(fixed.dx_m.norm(), 0.1);
    if (!f.session.arcs[b].holdable) {
      expect_true_holds(f.session, found);
    }
    return;
  }
  FAIL() << "no reference";
}

// Residuals of one held arc stand off by a quarter of a cycle in its second
// hour; by less than a tenth of a cycle they may.
TEST(TieIntegers, HoursThatDisagreeReleaseTheirArc) {
  const TieSession clean = ready_tie(TieScene(), 240);
  std::uint32_t arc = 0;
  while (clean.arcs[arc].rows < 239) {
    ++arc;
  }
  const double wave_m = clean.arcs[arc].wavelength_m;
  for (const double off_cyc : {0.0, 0.08, 0.25}) {
    for (const bool held : {true, false}) {
      TieSession session = clean;
      TieIntegers integers;
      integers.fixed.assign(session.arcs.size(), true);
      integers.fixed[arc] = held;
      for (std::size_t k = 0; k < session.epochs.size(); ++k) {
        for (const TieSight& s : session.sights_of(session.epochs[k])) {
          for (TieRow& r : session.rows_of(s)) {
            r.phase_residual_m = s.modelled && r.arc == arc && k >= 120
                                     ? static_cast<float>(off_cyc * wave_m)
                                     : 0;
          }
        }
      }
      const TieNoise noise(session.groups.size());
      const bool expected = held && off_cyc > 0.2;
      EXPECT_EQ(release_wrong(session, integers, noise, {}), expected ? 1 : 0)
          << off_cyc << held;
      for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
        EXPECT_EQ(session.arcs[a].holdable, a != arc || !expected);
      }
      // Not twice.
      EXPECT_EQ(release_wrong(session, integers, noise, {}), 0);
    }
  }
}

}  // namespace
}  // namespace stillpoint::solve

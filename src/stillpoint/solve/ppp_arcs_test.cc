#include "stillpoint/solve/ppp_arcs.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <utility>

#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::compute;
using test::modelled;
using test::observe;
using test::satellite_above;
using test::Scene;

constexpr double kDeg = 3.14159265358979 / 180;
// A carefully tracked phase at the zenith: a millimetre; common practice, no
// source.
constexpr double kPhaseNoiseM = 0.001, kCodeNoiseM = 0.15;

// Where arcs begin: (epoch, satellite).
using Begins = std::set<std::pair<std::size_t, SatId>>;
Begins begins_of(const PppSession& session) {
  Begins begins;
  for (std::size_t k = 0; k < session.epochs.size(); ++k) {
    for (const PppRow& r : session.rows_of(session.epochs[k])) {
      if ((r.flags & kRowSlip) != 0) {
        begins.insert({k, r.sat});
      }
    }
  }
  return begins;
}

Scene noisy(double step_s = 30) {
  Scene scene;
  scene.step_s = step_s;
  scene.phase_noise_m = kPhaseNoiseM;
  scene.code_noise_m = kCodeNoiseM;
  return scene;
}

struct Found {
  int slips = 0;
  Begins begins;
};
Found found_in(const Scene& scene, int epochs) {
  PppSession session = modelled(scene, epochs);
  const int slips = find_arcs(session).slips;
  return {slips, begins_of(session)};
}

TEST(PppArcs, SlipsOfAnyPairOfCyclesAreFoundAndOnlyThere) {
  const Scene clean = noisy();
  PppSession session = modelled(clean, 120);
  ASSERT_EQ(find_arcs(session).slips, 0);
  const Begins before = begins_of(session);
  constexpr std::size_t kAt = 60;
  const SatId sat = satellite_above(session, kAt, 30 * kDeg);
  ASSERT_NE(sat.number, 0);
  constexpr std::pair<int, int> kSlips[] = {{1, 0},
                                            {0, 1},
                                            {-1, 0},
                                            {0, -1},
                                            {1, 1},
                                            {3, 4},
                                            {4, 5},
                                            {9, 7},
                                            {7, 9},
                                            {-7, -9}};
  for (const auto& [first, second] : kSlips) {
    Scene scene = clean;
    scene.slips = {{sat, kAt, 1.0 * first, 1.0 * second}};
    const Found found = found_in(scene, 120);
    EXPECT_EQ(found.slips, 1) << first << ", " << second;
    Begins expected = before;
    expected.insert({kAt, sat});
    EXPECT_EQ(found.begins, expected) << first << ", " << second;
  }
}

TEST(PppArcs, TwoSatellitesMaySlipAtOnce) {
  Scene scene = noisy();
  PppSession session = modelled(scene, 120);
  const SatId sat = satellite_above(session, 60, 30 * kDeg);
  const SatId low = satellite_above(session, 60, 15 * kDeg, 30 * kDeg);
  ASSERT_NE(sat.number, 0);
  ASSERT_NE(low.number, 0);
  scene.slips = {{sat, 60, 1, 0}, {low, 60, 0, 1}};
  EXPECT_EQ(found_in(scene, 120).slips, 2);
}

TEST(PppArcs, NoiseIsNoSlip) {
  for (unsigned seed = 1; seed <= 3; ++seed) {
    Scene half_minutes = noisy(30);
    half_minutes.sky.seed = seed;
    EXPECT_EQ(found_in(half_minutes, 480).slips, 0) << seed;
    Scene minutes = noisy(300);
    minutes.sky.seed = seed;
    EXPECT_EQ(found_in(minutes, 144).slips, 0) << seed;
  }
}

// kind: cross   the light of a millisecond; phases that go along with codes
// differ from them by a constant.
// tolerance: 2 m, codes of 15 cm at the zenith, combined (3 x) and at 7
// degrees (8 x) would reach 3.6 m, but two neighbouring rows stay below; the
// jump is 300 km
TEST(PppArcs, MillisecondsOfTheCodesAloneMoveThePhasesAlong) {
  const Scene clean = noisy();
  PppSession straight = modelled(clean, 120);
  ASSERT_EQ(find_arcs(straight).slips, 0);
  for (const double jump_s : {1e-3, -1e-3, 3e-3}) {
    Scene scene = clean;
    scene.code_noise_m = 0;
    scene.jump_epoch = 60;
    scene.code_jump_s = jump_s;
    PppSession session = modelled(scene, 120);
    EXPECT_EQ(find_arcs(session).slips, 0) << jump_s;
    EXPECT_EQ(begins_of(session), begins_of(straight)) << jump_s;
    for (std::size_t k = 59; k < 62; ++k) {
      for (const PppRow& r : session.rows_of(session.epochs[k])) {
        if (!r.modelled()) {
          continue;
        }
        const auto first = session.rows_of(session.epochs.front());
        for (const PppRow& f : first) {
          if (f.sat == r.sat && f.arc == r.arc) {
            EXPECT_NEAR(r.code_m - r.phase_m, f.code_m - f.phase_m, 2);
          }
        }
      }
    }
  }
}

TEST(PppArcs, ClocksThatJumpOrRunAreNoSlip) {
  Scene both = noisy();
  both.jump_epoch = 60;
  both.code_jump_s = both.phase_jump_s = -1e-3;
  EXPECT_EQ(found_in(both, 120).slips, 0);
  Scene odd = both;  // no whole millisecond
  odd.code_jump_s = odd.phase_jump_s = 4.4e-7;
  EXPECT_EQ(found_in(odd, 120).slips, 0);
  Scene late = noisy();
  late.sky.receiver_clock_s = 0.022;
  EXPECT_EQ(found_in(late, 120).slips, 0);
  Scene fast = noisy();
  fast.drift = 3e-6;
  EXPECT_EQ(found_in(fast, 120).slips, 0);
}

TEST(PppArcs, FiveMinutesAreBridgedAndFifteenAreNot) {
  const Scene scene = noisy();
  for (const int missing : {10, 30}) {
    PppSession session;
    observe(scene, 0, 60, session);
    observe(scene, 60 + missing, 160, session);
    compute(scene, session);
    EXPECT_EQ(find_arcs(session).slips, 0);
    int begun = 0, rows = 0;
    for (const PppRow& r : session.rows_of(session.epochs[60])) {
      bool before = false;
      for (const PppRow& b : session.rows_of(session.epochs[59])) {
        before |= b.sat == r.sat && b.modelled() && r.modelled();
      }
      rows += before ? 1 : 0;
      begun += before && (r.flags & kRowSlip) != 0 ? 1 : 0;
    }
    EXPECT_GE(rows, 5);
    EXPECT_EQ(begun, missing == 10 ? 0 : rows) << missing;
  }
}

TEST(PppArcs, SlipDuringAGapIsFound) {
  Scene scene = noisy();
  const PppSession session = modelled(scene, 160);
  const SatId sat = satellite_above(session, 75, 30 * kDeg);
  ASSERT_NE(sat.number, 0);
  scene.slips = {{sat, 65, 1, 0}};
  PppSession gap;
  observe(scene, 0, 60, gap);
  observe(scene, 70, 160, gap);
  compute(scene, gap);
  find_arcs(gap);
  EXPECT_TRUE(begins_of(gap).contains({60, sat}));
}

TEST(PppArcs, AnotherSignalBeginsAnArc) {
  PppSession session = modelled(noisy(), 120);
  const SatId sat = satellite_above(session, 60, 30 * kDeg);
  for (std::size_t k = 60; k < 120; ++k) {
    for (PppRow& r : session.rows_of(session.epochs[k])) {
      if (r.sat == sat) {
        r.phase_second = {'2', 'X'};
      }
    }
  }
  find_arcs(session);
  EXPECT_TRUE(begins_of(session).contains({60, sat}));
}

// With fewer than four satellites there is no common clock to compare with.
TEST(PppArcs, FewSatellitesAreBelievedTheirMarks) {
  PppSession session = modelled(noisy(), 40);
  std::set<SatId> keep;
  for (PppEpoch& e : session.epochs) {
    for (PppRow& r : session.rows_of(e)) {
      if (r.modelled() && keep.size() < 3) {
        keep.insert(r.sat);
      }
      if (!keep.contains(r.sat)) {
        r.flags |= kRowNoModel;
      }
    }
  }
  PppRow& marked = *std::find_if(session.rows_of(session.epochs[20]).begin(),
                                 session.rows_of(session.epochs[20]).end(),
                                 [&](const PppRow& r) { return r.modelled(); });
  marked.lli = 1;
  find_arcs(session);
  Begins begins;
  for (const auto& begin : begins_of(session)) {
    if (begin.first > 0) {
      begins.insert(begin);
    }
  }
  EXPECT_EQ(begins, (Begins{{20, marked.sat}}));
}

// kind: cross   the first row of an arc has phase and code alike, whatever
// the ambiguity; the rest differ from it by noise.
// tolerance: 1e-6 m, roundings of 2e7 m
TEST(PppArcs, FinishTakesAConstantOffAndMarksShortArcs) {
  Scene scene;  // no noise
  PppSession session = modelled(scene, 120);
  const SatId sat = satellite_above(session, 60, 30 * kDeg);
  scene.slips = {{sat, 60, 1, 0}, {sat, 63, 1, 0}};
  session = modelled(scene, 120);
  EXPECT_EQ(find_arcs(session).slips, 2);
  finish_arcs(session);
  for (std::size_t k = 0; k < session.epochs.size(); ++k) {
    for (const PppRow& r : session.rows_of(session.epochs[k])) {
      if (!r.modelled()) {
        continue;
      }
      if ((r.flags & kRowSlip) != 0) {
        EXPECT_NEAR(r.phase_m, r.code_m, 1e-6);
      }
      if (r.sat == sat) {
        EXPECT_EQ(r.phase_used(), k < 60 || k >= 63) << k;
        EXPECT_TRUE(r.code_used());
      }
    }
  }
}

}  // namespace
}  // namespace stillpoint::solve

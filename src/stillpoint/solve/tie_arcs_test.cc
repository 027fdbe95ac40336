#include "stillpoint/solve/tie_arcs.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::modelled_tie;
using test::sat_of;
using test::steady_satellite;
using test::TieScene;

int arcs_of(const TieSession& session, SatId sat, std::uint16_t group) {
  return static_cast<int>(std::count_if(
      session.arcs.begin(), session.arcs.end(), [&](const TieArc& a) {
        return a.sat == sat && a.group == group;
      }));
}

// What a kilometre-long tie's phases look like, 3 mm of noise at each end.
TieScene noisy() {
  TieScene scene;
  scene.baseline = {800, -600, 20};
  scene.phase_noise_m = 0.003;
  return scene;
}

// Groups in the order of the signals: 0 first band, 1 second.
TEST(TieArcs, WithoutSlipsEverySatelliteIsOneArcPerBand) {
  TieSession session = modelled_tie(noisy(), 240);
  EXPECT_EQ(find_tie_arcs(session, 1000), 0);
  int rows = 0;
  for (int number = 1; number <= 24; ++number) {
    const SatId sat = sat_of(System::kGps, number);
    EXPECT_LE(arcs_of(session, sat, 0), 1);
    EXPECT_EQ(arcs_of(session, sat, 0), arcs_of(session, sat, 1));
  }
  for (const TieArc& a : session.arcs) {
    rows += a.rows;
    EXPECT_NEAR((a.last - a.first).s, 30.0 * (a.rows - 1), 1e-6);
  }
  std::size_t modelled = 0;
  for (const TieSight& s : session.sights) {
    modelled += s.modelled ? s.count : 0U;
  }
  EXPECT_EQ(rows, static_cast<int>(modelled));
}

struct SlipCase {
  double first_cyc, second_cyc;
};

// Half a cycle is 9.5 cm on the first band: above 20 degrees even that shows,
// at 10 degrees a whole one does.
TEST(TieArcs, SlipsOfHalfACycleAndMoreAreFoundWhereverTheyAre) {
  const TieSession clean = modelled_tie(noisy(), 240);
  const SatId high = steady_satellite(clean, 90, 130, 0.36);
  const SatId low = steady_satellite(clean, 95, 105, 0.175, 0.33);
  ASSERT_NE(high.number, 0);
  ASSERT_NE(low.number, 0);
  for (const SatId sat : {high, low}) {
    for (const SlipCase& c : {SlipCase{0.5, 0},
                              {0, -0.5},
                              {1, 0},
                              {0, 1},
                              {-2, 0},
                              {0, 2},
                              {1, 1},
                              {9, 7},
                              {0.5, 0.5}}) {
      const bool whole = c.first_cyc == std::round(c.first_cyc) &&
                         c.second_cyc == std::round(c.second_cyc);
      if (sat == low && !whole) {
        continue;
      }
      TieScene scene = noisy();
      scene.slips = {{sat, 100, c.first_cyc, c.second_cyc}};
      TieSession session = modelled_tie(scene, 240);
      const int bands = (c.first_cyc != 0) + (c.second_cyc != 0);
      EXPECT_EQ(find_tie_arcs(session, 1000), bands)
          << sat.text() << c.first_cyc << ' ' << c.second_cyc;
      EXPECT_EQ(arcs_of(session, sat, 0), c.first_cyc != 0 ? 2 : 1);
      EXPECT_EQ(arcs_of(session, sat, 1), c.second_cyc != 0 ? 2 : 1);
      // Where it is, the arc begins.
      const TieArc& second = *std::find_if(
          session.arcs.begin(), session.arcs.end(), [&](const TieArc& a) {
            return a.sat == sat && a.first == session.epochs[100].time;
          });
      EXPECT_EQ(second.group, c.first_cyc != 0 ? 0 : 1);
    }
  }
}

// A satellite that is not seen for a while: minutes are bridged, a quarter of
// an hour is not; a slip in the gap is found.
TEST(TieArcs, GapsAreBridgedWhileTheyTellASlipFromNone) {
  const TieSession clean = modelled_tie(noisy(), 240);
  const SatId sat = steady_satellite(clean, 60, 140, 0.5);
  ASSERT_NE(sat.number, 0);
  const auto with_gap = [&](int length, double slip_cyc) {
    TieScene scene = noisy();
    scene.slips = {{sat, 80 + length, slip_cyc, 0}};
    TieSession session = modelled_tie(scene, 240);
    for (int k = 80; k < 80 + length; ++k) {
      for (TieSight& s :
           session.sights_of(session.epochs[static_cast<std::size_t>(k)])) {
        s.modelled = s.modelled && s.sat != sat;
      }
    }
    find_tie_arcs(session, 1000);
    return std::pair(arcs_of(session, sat, 0), arcs_of(session, sat, 1));
  };
  EXPECT_EQ(with_gap(6, 0), std::pair(1, 1));
  EXPECT_EQ(with_gap(6, 1), std::pair(2, 1));
  EXPECT_EQ(with_gap(30, 0), std::pair(2, 2));
}

// kind: cross   a quarter of the sky's satellites lose lock at once: the median
// of the others still is the clock.
TEST(TieArcs, SeveralSlipsAtOnceDoNotHideTheClock) {
  const TieSession clean = modelled_tie(noisy(), 240);
  TieScene scene = noisy();
  int slipped = 0;
  for (const TieSight& s : clean.sights_of(clean.epochs[100])) {
    if (s.modelled && s.elevation_rad > 0.2F && slipped < 2) {
      scene.slips.push_back({s.sat, 100, 3.0 + slipped, 5});
      ++slipped;
    }
  }
  ASSERT_EQ(slipped, 2);
  TieSession session = modelled_tie(scene, 240);
  EXPECT_EQ(find_tie_arcs(session, 1000), 4);
}

// Milliseconds are 300 km: in codes and phases together, in the codes alone (as
// receivers that steer their phases do), and a clock that is 22 ms off and
// drifts, which moves satellites by 17 m.
TEST(TieArcs, ReceiversClocksMakeNoSlips) {
  TieScene both = noisy(), codes = noisy(), late = noisy(), drift = noisy();
  both.here_receiver.jump_epoch = codes.here_receiver.jump_epoch = 100;
  both.here_receiver.code_jump_s = both.here_receiver.phase_jump_s = -1e-3;
  codes.here_receiver.code_jump_s = 1e-3;
  late.here_receiver.clock_s = 0.022;
  drift.there_receiver.drift = 1e-7;
  for (const TieScene& scene : {both, codes, late, drift}) {
    TieSession session = modelled_tie(scene, 240);
    EXPECT_EQ(find_tie_arcs(session, 1000), 0)
        << scene.here_receiver.code_jump_s << ' '
        << scene.here_receiver.phase_jump_s << ' '
        << scene.here_receiver.clock_s;
  }
}

// Of a long tie the ionosphere's difference may run away in a gap.
TEST(TieArcs, LongTiesBridgeLess) {
  const auto arcs_with_gap = [](double length_m) {
    TieSession session = modelled_tie(noisy(), 240);
    const SatId sat = steady_satellite(session, 60, 140, 0.5);
    for (std::size_t k = 80; k < 94; ++k) {
      for (TieSight& s : session.sights_of(session.epochs[k])) {
        s.modelled = s.modelled && s.sat != sat;
      }
    }
    find_tie_arcs(session, length_m);
    return arcs_of(session, sat, 0);
  };
  EXPECT_EQ(arcs_with_gap(1000), 1);
  EXPECT_EQ(arcs_with_gap(200'000), 2);
}

// kind: cross   whole cycles come off and nothing else, so that numbers are
// below a cycle at an arc's begin, and a second slip's arcs differ by what it
// was.
// tolerance: 1e-6 m, roundings of 2e7 m
TEST(TieArcs, FinishingTakesWholeCyclesOff) {
  TieSession before = modelled_tie(noisy(), 60);
  find_tie_arcs(before, 1000);
  TieSession after = before;
  finish_tie_arcs(after);
  std::vector<bool> seen(after.arcs.size());
  for (std::size_t i = 0; i < after.sights.size(); ++i) {
    if (!after.sights[i].modelled) {
      continue;
    }
    for (std::size_t j = 0; j < after.sights[i].count; ++j) {
      const TieRow& a = after.rows_of(after.sights[i])[j];
      const TieRow& b = before.rows_of(before.sights[i])[j];
      const TieArc& arc = after.arcs[a.arc];
      EXPECT_EQ(arc.offset_cyc, std::round(arc.offset_cyc));
      EXPECT_NEAR(
          b.phase_m - a.phase_m, arc.offset_cyc * arc.wavelength_m, 1e-6);
      if (!seen[a.arc]) {
        seen[a.arc] = true;
        EXPECT_LE(std::abs(a.phase_m - a.code_m), 0.51 * arc.wavelength_m);
      }
    }
  }
}

TEST(TieArcs, ShortArcsAreMarkedAndCountedByTheSession) {
  const TieSession clean = modelled_tie(noisy(), 60);
  const SatId sat = steady_satellite(clean, 0, 59, 0.5);
  ASSERT_NE(sat.number, 0);
  TieScene scene = noisy();
  scene.slips = {{sat, 20, 5, 0}, {sat, 24, 5, 0}};  // four epochs apart
  TieSession session = modelled_tie(scene, 60);
  find_tie_arcs(session, 1000);
  finish_tie_arcs(session);
  int marked = 0;
  for (const TieSight& s : session.sights) {
    for (const TieRow& r : session.rows_of(s)) {
      const bool is_short = s.modelled && session.arcs[r.arc].rows < 5;
      EXPECT_EQ(s.modelled && (r.flags & kTieShortArc) != 0, is_short);
      marked += s.sat == sat && is_short ? 1 : 0;
    }
  }
  EXPECT_EQ(marked, 4);
  // Of one epoch, an arc of one row is all there is.
  TieSession single = modelled_tie(noisy(), 1);
  find_tie_arcs(single, 1000);
  finish_tie_arcs(single);
  for (const TieSight& s : single.sights) {
    for (const TieRow& r : single.rows_of(s)) {
      EXPECT_EQ(r.flags & kTieShortArc, 0);
    }
  }
}

// kind: cross   models computed anew about the moved reference; a metre's
// square over the range is 5e-8 m, and level with the ground the air stays but
// for 5e-8 rad of elevation (2 um of the delay at 10 degrees and twice that
// with the ground's curve). tolerance: 1e-5 m
TEST(TieArcs, MovingTheReferenceIsComputingAnew) {
  const TieScene scene;
  const Ecef by = from_enu({0.7, -0.6, 0}, scene.here()) - scene.here();
  TieSession moved = modelled_tie(scene, 20);
  find_tie_arcs(moved, 50);
  finish_tie_arcs(moved);
  move_reference(moved, by);
  const TieSession anew = modelled_tie(scene, 20, by);
  EXPECT_TRUE(moved.arcs.empty());
  EXPECT_LT(norm(moved.reference_m - anew.reference_m), 1e-9);
  for (std::size_t i = 0; i < moved.sights.size(); ++i) {
    ASSERT_EQ(moved.sights[i].modelled, anew.sights[i].modelled);
    for (std::size_t j = 0; moved.sights[i].modelled && j < 2; ++j) {
      const TieRow& a = moved.rows_of(moved.sights[i])[j];
      const TieRow& b = anew.rows_of(anew.sights[i])[j];
      EXPECT_NEAR(a.phase_m, b.phase_m, 1e-5);
      EXPECT_NEAR(a.code_m, b.code_m, 1e-5);
      EXPECT_EQ(a.flags, 0);
    }
  }
}

}  // namespace
}  // namespace stillpoint::solve

#include "stillpoint/solve/tie_parts.h"

#include <gtest/gtest.h>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::ready_tie;
using test::TieScene;

TieScene noisy() {
  TieScene scene;
  test::add_galileo(scene);
  scene.phase_noise_m = 0.002;
  scene.code_noise_m = 0.3;
  return scene;
}

// Phases as they are when the antenna here moves at an epoch.
void move_antenna(TieSession& session, std::size_t at, const Enu& move) {
  const Ecef dx_m = from_enu(move, session.reference_m) - session.reference_m;
  for (std::size_t k = at; k < session.epochs.size(); ++k) {
    for (const TieSight& s : session.sights_of(session.epochs[k])) {
      for (TieRow& r : session.rows_of(s)) {
        r.phase_m -= dot(s.to_satellite, dx_m);
        r.code_m -= dot(s.to_satellite, dx_m);
      }
    }
  }
}

std::optional<TieMove> found(TieSession& session) {
  const TieNoise noise(session.groups.size());
  TieAdjuster adjuster(session, {});
  TieEstimate estimate;
  EXPECT_TRUE(adjuster.run(noise, {}, true) && adjuster.finish(estimate));
  return find_move(
      adjuster, session, {}, noise, {}, {}, estimate, estimate.formal_m2);
}

// kind: cross; source: the move that was put in.
// Tolerance: noise of 2 mm over the hour on each side, ambiguities not whole.
TEST(TieParts, MoveInTheMiddleIsFoundWithItsSize) {
  TieSession session = ready_tie(noisy(), 240);
  move_antenna(session, 120, {0.05, 0, 0});
  const auto move = found(session);
  ASSERT_TRUE(move);
  EXPECT_EQ(move->from.ns(), session.epochs[120].time.ns());
  EXPECT_NEAR(move->off_m.x(), 0.05, 0.005);
  EXPECT_NEAR(move->off_m.y(), 0, 0.005);
  EXPECT_GT(move->sigmas, 4);
}

TEST(TieParts, AntennaThatStoodStillRaisesNoAlarm) {
  TieSession session = ready_tie(noisy(), 240);
  EXPECT_FALSE(found(session));
}

TEST(TieParts, SessionsBelowTwentyMinutesAreNotParted) {
  TieSession session = ready_tie(noisy(), 38);
  move_antenna(session, 19, {0.05, 0, 0});
  EXPECT_FALSE(found(session));
}

TEST(TieParts, PartsShareTheSessionOut) {
  const TieSession session = ready_tie(noisy(), 10);
  EXPECT_EQ(session.first_of_part(0, 4), 0u);
  EXPECT_EQ(session.first_of_part(1, 4), 3u);
  EXPECT_EQ(session.first_of_part(2, 4), 5u);
  EXPECT_EQ(session.first_of_part(4, 4), 10u);
}

}  // namespace
}  // namespace stillpoint::solve

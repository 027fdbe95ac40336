#include <gtest/gtest.h>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::tie_options;
using test::TieOrbits;
using test::TieScene;

double start_error_m(const TieScene& scene,
                     TieSession session,
                     const TieOptions& options) {
  return start_tie(TieOrbits(), options, session)
             ? norm(session.reference_m - scene.here())
             : 1e12;
}

// kind: cross   the true place. Without noise, steps end when they are below a
// metre, and one step of a metre leaves nothing of its square; 1,000 km apart
// the same holds, where a first step from there is off by tens of kilometres.
// tolerance: 5 cm, what the mean mapping and state leave at 1,000 km
TEST(TieStart, FindsTheOtherEndFromMetresToAThousandKilometres) {
  for (const Enu& baseline : {Enu{30, -40, 5},
                              Enu{20'000, 15'000, 300},
                              Enu{-800'000, 600'000, -78'000}}) {
    TieScene scene;
    scene.baseline = baseline;
    const TieOptions options = tie_options(scene);
    const TieSession session = test::collected(scene, options, 60);
    EXPECT_LT(start_error_m(scene, session, options), 0.05) << baseline.e_m;
  }
}

// kind: cross   the true place; one of 18 satellites' codes are off at one end.
// tolerance: 3 m, where the weights begin to fall
TEST(TieStart, OneWrongSatelliteDoesNotSpoilIt) {
  TieScene scene;
  test::add_galileo(scene);
  test::add_glonass(scene);
  const TieOptions options = tie_options(scene);
  const TieSession clean = test::modelled_tie(scene, 60);
  const SatId wrong = test::steady_satellite(clean, 0, 59, 0.5);
  ASSERT_NE(wrong.number, 0);
  for (const double by_m : {30.0, 300.0, 3000.0}) {
    TieSession session = clean;
    for (const TieSight& s : session.sights) {
      for (TieRow& r : session.rows_of(s)) {
        r.code_here_m += s.sat == wrong ? by_m : 0;
      }
    }
    EXPECT_LT(start_error_m(scene, session, options), 3) << by_m;
  }
}

TEST(TieStart, SaysNoWithoutEnoughCodes) {
  const TieScene scene;
  const TieOptions options = tie_options(scene);
  TieSession none;
  EXPECT_FALSE(start_tie(TieOrbits(), options, none));
  TieOrbits past;
  past.last_s = 1000;
  TieSession session = test::collected(scene, options, 20);
  EXPECT_FALSE(start_tie(past, options, session));
  for (TieRow& r : session.rows) {
    r.code_here_m = r.code_there_m = kMissing;
  }
  EXPECT_FALSE(start_tie(TieOrbits(), options, session));
}

}  // namespace
}  // namespace stillpoint::solve

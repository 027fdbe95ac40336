#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/solve/tie_scene_for_tests.h"
#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {
namespace {

using test::TieScene;

TieAir air_of(const TieScene& scene, int epochs, const TermSet& without = {}) {
  TieSolver::State s;
  s.options = test::tie_options(scene);
  s.options.without = without;
  s.session = test::ready_tie(scene, epochs);
  s.length_m = norm(scene.here() - scene.there);
  s.height_difference_m =
      to_geodetic(scene.here()).height_m - to_geodetic(scene.there).height_m;
  return choose_air(s);
}

TieScene apart(double metres, double up_m = 0) {
  TieScene scene;
  scene.baseline = {0.6 * metres, -0.8 * metres, up_m};
  return scene;
}

TEST(TieAir, NearEndsShareTheIonosphereFarOnesDoNot) {
  EXPECT_EQ(air_of(apart(50), 60).ionosphere, TieIonosphere::kNone);
  EXPECT_EQ(air_of(apart(5000), 60).ionosphere, TieIonosphere::kConstrained);
  EXPECT_EQ(air_of(apart(400'000), 60).ionosphere, TieIonosphere::kFree);
  EXPECT_EQ(air_of(apart(5000), 60, {Term::kIonosphere}).ionosphere,
            TieIonosphere::kNone);
  EXPECT_STREQ(ionosphere_name(TieIonosphere::kNone), "none");
  EXPECT_STREQ(ionosphere_name(TieIonosphere::kConstrained), "constrained");
  EXPECT_STREQ(ionosphere_name(TieIonosphere::kFree), "free");
}

// kind: cross   the limits that tie_air.cc states: a quiet hour is never
// trusted to be better than 1.5 mm/km, half a millimetre at least.
// tolerance: 1e-6 m
TEST(TieAir, AQuietHourMakesItSmall) {
  const TieAir quiet = air_of(apart(5000), 120);
  EXPECT_NEAR(quiet.ionosphere_m, std::hypot(0.0005, 0.0075), 1e-6);
  EXPECT_NEAR(quiet.slope_m, 0.030, 1e-6);
}

// kind: cross   waves of an hour with 2 to 4 cm: one sigma is the amplitude
// over the root of two, times the safety of 1.5; between one and three times
// the sigma is asked for.
TEST(TieAir, AWaveOfAnHourShowsItsSize) {
  for (const double wave_m : {0.02, 0.04}) {
    TieScene scene = apart(5000);
    scene.phase_noise_m = 0.002;
    scene.wave_m = wave_m;
    const TieAir air = air_of(scene, 240);
    const double sigma_m = wave_m / std::sqrt(2);
    EXPECT_GT(air.ionosphere_m, 1.0 * sigma_m);
    EXPECT_LT(air.ionosphere_m, 3 * sigma_m);
    EXPECT_GE(air.slope_m, air.ionosphere_m - 0.0005);
  }
  // Of any size: it is kept below 12 mm/km.
  TieScene storm = apart(5000);
  storm.wave_m = 0.5;
  storm.wave_s = 7200;
  EXPECT_LT(air_of(storm, 240).ionosphere_m, 0.0601);
}

// kind: cross   noise of the phases is no ionosphere: what two lags both show.
// tolerance: with 4 mm of noise the least, or up to twice that; by the longer
// lag alone it would be 28 mm
TEST(TieAir, NoiseIsNotTakenForIt) {
  TieScene scene = apart(5000);
  scene.phase_noise_m = 0.004;
  EXPECT_LT(air_of(scene, 240).ionosphere_m, 2 * 0.0076);
}

// kind: cross   5 mm/km where the phases cannot say: too short, one band.
// tolerance: 1e-6 m
TEST(TieAir, TooShortASessionTakesTheUsual) {
  TieScene wave = apart(5000);
  wave.wave_m = 0.04;
  EXPECT_NEAR(air_of(wave, 30).ionosphere_m, std::hypot(0.0005, 0.025), 1e-6);
  TieScene single = apart(5000);
  single.here_receiver.signals =
      single.there_receiver.signals = {{System::kGps, {'1', 'C'}}};
  EXPECT_NEAR(
      air_of(single, 240).ionosphere_m, std::hypot(0.0005, 0.025), 1e-6);
}

TEST(TieAir, TheZenithDelayIsAnUnknownWhereItMayMatter) {
  EXPECT_EQ(air_of(apart(50), 10).zenith_m, 0);
  const double level_m = air_of(apart(9000), 10).zenith_m;
  EXPECT_GT(level_m, 0);
  EXPECT_GT(air_of(apart(9000, 900), 10).zenith_m, 2 * level_m);
  EXPECT_GT(air_of(apart(30'000), 10).zenith_m, 1.2 * level_m);
  EXPECT_EQ(air_of(apart(9000, 900), 10, {Term::kTroposphere}).zenith_m, 0);
}

TEST(TieAir, ReceiversOfOneMakeAgreeInTheirChannels) {
  TieSolver::State s;
  s.options.here.receiver_type = s.options.there.receiver_type = "SPDEMO-R1";
  const double same_m = choose_air(s).channel_m;
  s.options.there.receiver_type = "SPDEMO-R2";
  EXPECT_GT(choose_air(s).channel_m, 4 * same_m);
  // Unknown ones may be of two makes.
  s.options.here.receiver_type = s.options.there.receiver_type = "";
  EXPECT_GT(choose_air(s).channel_m, 4 * same_m);
}

}  // namespace
}  // namespace stillpoint::solve

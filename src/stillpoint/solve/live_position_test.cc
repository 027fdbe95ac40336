#include "stillpoint/solve/live_position.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/solve/synthetic_sky.h"

namespace stillpoint::solve {
namespace {

using test::invented_epoch;
using test::InventedOrbits;
using test::SkyOptions;

constexpr double kStartS = 36'000;

CodeOptions exact_options() {
  CodeOptions options;
  options.without = {Term::kShapiro};  // the invented signal has none
  return options;
}

// Epochs [from, until) of kStepS.
void run(LivePosition& position, const SkyOptions& sky, int from, int until) {
  const InventedOrbits orbits;
  for (int k = from; k < until; ++k) {
    position.add(
        invented_epoch(kStartS + LivePosition::kStepS * k, sky), orbits, {});
  }
}

// kind: cross   the simulated signal is traced in axes that do not turn
// tolerance: 2 mm, what float rows and nanosecond times leave
TEST(LivePosition, FindsTheAntennaOfAnErrorFreeSky) {
  const SkyOptions sky;
  LivePosition position(exact_options());
  EXPECT_FALSE(position.fix());
  run(position, sky, 0, 1);
  ASSERT_TRUE(position.fix());
  EXPECT_LT(position.fix()->distance_m(sky.antenna), 0.002);
  EXPECT_EQ(position.fix()->epochs, 1);
  run(position, sky, 1, 10);
  EXPECT_LT(position.fix()->distance_m(sky.antenna), 0.002);
  EXPECT_EQ(position.fix()->epochs, 10);
  EXPECT_GE(position.fix()->satellites, 5);
  EXPECT_NEAR(
      position.fix()->distance_m(sky.antenna + Ecef{3, 4, 12}), 13, 0.002);
}

TEST(LivePosition, TakesOneEpochInThirtySeconds) {
  LivePosition position(exact_options());
  const InventedOrbits orbits;
  for (int t = 0; t <= 90; ++t) {
    position.add(invented_epoch(kStartS + t, {}), orbits, {});
  }
  EXPECT_EQ(position.fix()->epochs, 4);
}

TEST(LivePosition, HoldsAnHourAndNoMore) {
  SkyOptions sky;
  LivePosition position(exact_options());
  run(position, sky, 0, 200);
  const LiveFix full = *position.fix();
  EXPECT_EQ(full.epochs, 120);
  EXPECT_EQ((full.last - full.first).s, 119 * LivePosition::kStepS);
  // What was before an hour's silence is forgotten.
  run(position, sky, 320, 321);
  EXPECT_EQ(position.fix()->epochs, 1);
}

TEST(LivePosition, AWildEpochDoesNotMoveTheMean) {
  SkyOptions sky{.noise_m = 0.3};
  LivePosition position(exact_options());
  run(position, sky, 0, 20);
  SkyOptions elsewhere = sky;
  elsewhere.antenna = from_enu({40, 0, 0}, sky.antenna);
  run(position, elsewhere, 20, 22);
  run(position, sky, 22, 40);
  EXPECT_LT(position.fix()->distance_m(sky.antenna), 1);
  EXPECT_LE(position.fix()->epochs, 38);
  EXPECT_GE(position.fix()->epochs, 34);
}

TEST(LivePosition, FollowsAnAntennaThatWasCarriedAway) {
  SkyOptions sky;
  LivePosition position(exact_options());
  run(position, sky, 0, 20);
  const Ecef before = sky.antenna;
  sky.antenna = from_enu({0, 5000, 0}, sky.antenna);
  run(position, sky, 20, 24);  // not yet believed
  EXPECT_LT(position.fix()->distance_m(before), 0.01);
  run(position, sky, 24, 30);
  EXPECT_LT(position.fix()->distance_m(sky.antenna), 0.01);
  EXPECT_EQ(position.fix()->epochs, 5);
}

TEST(LivePosition, FarEpochsNowAndThenAreNoMove) {
  SkyOptions sky, far;
  far.antenna = from_enu({0, 5000, 0}, sky.antenna);
  LivePosition position(exact_options());
  run(position, sky, 0, 5);
  run(position, far, 5, 9);
  run(position, sky, 9, 10);
  run(position, far, 10, 14);
  EXPECT_LT(position.fix()->distance_m(sky.antenna), 0.01);
  EXPECT_EQ(position.fix()->epochs, 6);
}

TEST(LivePosition, WithoutOrbitsThereIsNone) {
  InventedOrbits orbits;
  orbits.last_s = 0;
  LivePosition position(exact_options());
  position.add(invented_epoch(kStartS, {}), orbits, {});
  EXPECT_FALSE(position.fix());
  run(position, {}, 1, 2);
  EXPECT_TRUE(position.fix());
}

TEST(LivePosition, LateEpochsAreLeftOutAndAClockSetBackBeginsAfresh) {
  LivePosition position(exact_options());
  run(position, {}, 10, 13);
  run(position, {}, 11, 12);  // half a minute back
  EXPECT_EQ(position.fix()->epochs, 3);
  run(position, {}, 2, 4);
  EXPECT_EQ(position.fix()->epochs, 2);
}

// kind: cross   the normal law, forty skies of an hour with white noise: the
// sigma, which allows for errors that last, is not too small
// tolerance: 95 % of the errors within two sigma, counted
TEST(LivePosition, SigmaHoldsAndShrinksWithTime) {
  int inside = 0;
  for (unsigned seed = 1; seed <= 40; ++seed) {
    SkyOptions sky{.noise_m = 0.3, .seed = seed};
    LivePosition position(exact_options());
    run(position, sky, 0, 1);
    const LiveFix one = *position.fix();
    run(position, sky, 1, 60);
    const LiveFix many = *position.fix();
    const Enu d = to_enu(many.antenna_m, sky.antenna);
    inside += std::abs(d.u_m) < 2 * many.sigma_enu_m[2] ? 1 : 0;
    EXPECT_LT(many.sigma_enu_m[0], 0.8 * one.sigma_enu_m[0]);
    EXPECT_GT(many.sigma_enu_m[0], 0.45 * one.sigma_enu_m[0]);
    EXPECT_GT(many.sigma_enu_m[2], many.sigma_enu_m[0]);
  }
  EXPECT_GE(inside, 38);
}

TEST(LivePosition, SigmaFollowsTheScatter) {
  const auto sigma_of = [](double noise_m) {
    LivePosition position(exact_options());
    run(position, SkyOptions{.noise_m = noise_m}, 0, 60);
    return position.fix()->sigma_enu_m[2];
  };
  EXPECT_GT(sigma_of(4), 2 * sigma_of(0.1));
}

TEST(LivePosition, RepeatsBitForBit) {
  const auto fix = [] {
    LivePosition position(exact_options());
    run(position, SkyOptions{.noise_m = 0.5}, 0, 10);
    return position.fix()->antenna_m;
  };
  EXPECT_EQ(fix().x_m, fix().x_m);
  EXPECT_EQ(fix().z_m, fix().z_m);
}

}  // namespace
}  // namespace stillpoint::solve

#include "stillpoint/intake/live_navigation.h"

#include <gtest/gtest.h>

#include "stillpoint/gnss/gnss_test_support.h"

namespace stillpoint::intake {
namespace {

using test::glonass_set;
using test::kepler_set;
using test::tow;

constexpr SatId kG07{System::kGps, 7};
const std::size_t kGps = static_cast<std::size_t>(System::kGps);
const std::size_t kGlonass = static_cast<std::size_t>(System::kGlonass);

KeplerEphemeris gps_set(GnssTime toe) {
  return kepler_set(kG07, NavMessage::kLnav, toe);
}

TEST(LiveNavigation, CountsSatellitesWhoseSetsHoldNow) {
  LiveNavigation navigation;
  navigation.add(gps_set(tow(7200)), tow(7200));
  navigation.add(gps_set(tow(14'400)), tow(7200));
  navigation.add(glonass_set(3, tow(7200)), tow(7200));
  navigation.add(glonass_set(4, tow(7200)), tow(7200));
  EXPECT_EQ(navigation.fresh(tow(8000))[kGps], 1);
  EXPECT_EQ(navigation.fresh(tow(8000))[kGlonass], 2);
  // GLONASS holds for half an hour, GPS for two hours.
  EXPECT_EQ(navigation.fresh(tow(7200 + 1801))[kGlonass], 0);
  EXPECT_EQ(navigation.fresh(tow(14'400 + 7200))[kGps], 1);
  EXPECT_EQ(navigation.fresh(tow(14'400 + 7201))[kGps], 0);
  EXPECT_EQ(navigation.fresh(tow(-1))[kGps], 0);
}

TEST(LiveNavigation, ItsOrbitsAreThoseOfTheSets) {
  LiveNavigation navigation;
  EXPECT_FALSE(navigation.orbits().state(kG07, tow(7000)));
  navigation.add(gps_set(tow(7200)), tow(7200));
  const auto state = navigation.orbits().state(kG07, tow(7000));
  ASSERT_TRUE(state);
  const SatelliteState direct = evaluate(gps_set(tow(7200)), tow(7000));
  EXPECT_EQ(state->position_m.x_m, direct.position_m.x_m);
  navigation.add(glonass_set(4, tow(7200)), tow(7200));
  EXPECT_TRUE(navigation.orbits().state({System::kGlonass, 4}, tow(7000)));
  NavigationData data;
  data.state.push_back(glonass_set(3, tow(7200)));
  data.ionosphere.gps = Klobuchar{};
  navigation.add(data, tow(7200));
  EXPECT_TRUE(navigation.orbits().state({System::kGlonass, 3}, tow(7000)));
  EXPECT_TRUE(navigation.orbits().ionosphere().gps);
}

TEST(LiveNavigation, NewerIonosphereTakesThePlaceOfOlder) {
  LiveNavigation navigation;
  NavigationData data;
  data.ionosphere.gps = Klobuchar{.alpha = {1e-8, 0, 0, 0}, .beta = {}};
  navigation.add(data, tow(0));
  data.ionosphere.gps->alpha[0] = 2e-8;
  navigation.add(data, tow(0));
  navigation.add(NavigationData{}, tow(0));
  EXPECT_EQ(navigation.orbits().ionosphere().gps->alpha[0], 2e-8);
}

TEST(LiveNavigation, KeepsTheSetsNearNow) {
  LiveNavigation navigation;
  for (int k = 0; k < 40; ++k) {
    navigation.add(gps_set(tow(7200.0 * k)), tow(7200.0 * k));
  }
  const double last_s = 7200.0 * 39;
  EXPECT_EQ(navigation.fresh(tow(last_s))[kGps], 1);
  EXPECT_EQ(navigation.fresh(tow(last_s - 7 * 7200))[kGps], 1);
  EXPECT_EQ(navigation.fresh(tow(last_s - 9 * 7200))[kGps], 0);
  // A set of long ago does not push one of now out.
  navigation.add(gps_set(tow(0)), tow(last_s));
  EXPECT_EQ(navigation.fresh(tow(0))[kGps], 0);
  EXPECT_EQ(navigation.fresh(tow(last_s - 7 * 7200))[kGps], 1);
}

// A board without a clock starts years ago.
TEST(LiveNavigation, AClockFarBehindDoesNotKeepTheOldest) {
  LiveNavigation clocked, blind;
  for (int k = 0; k < 12; ++k) {
    clocked.add(gps_set(tow(7200.0 * k)), tow(0, 1000));
    blind.add(gps_set(tow(7200.0 * k)), std::nullopt);
  }
  for (const LiveNavigation* navigation : {&clocked, &blind}) {
    EXPECT_EQ(navigation->fresh(tow(7200 * 11))[kGps], 1);
    EXPECT_EQ(navigation->fresh(tow(0))[kGps], 0);
  }
}

TEST(LiveNavigation, DropsWhatCannotBeASet) {
  LiveNavigation navigation;
  KeplerEphemeris wrong = gps_set(tow(7200));
  wrong.sqrt_a_sqrt_m = 1;
  navigation.add(wrong, tow(7200));
  wrong = gps_set(tow(7200));
  wrong.sat.number = 0;
  navigation.add(wrong, tow(7200));
  EXPECT_EQ(navigation.fresh(tow(7200))[kGps], 0);
}

// The same set comes every few seconds; it must not push others out.
TEST(LiveNavigation, ARepeatedSetIsKeptOnce) {
  LiveNavigation navigation;
  navigation.add(gps_set(tow(0)), tow(7200));
  for (int k = 0; k < 20; ++k) {
    navigation.add(gps_set(tow(7200)), tow(7200));
  }
  EXPECT_EQ(navigation.fresh(tow(-7200))[kGps], 1);
}

}  // namespace
}  // namespace stillpoint::intake

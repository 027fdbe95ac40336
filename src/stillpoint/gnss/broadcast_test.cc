// Choice among sets, health and plausibility.
#include <gtest/gtest.h>

#include "stillpoint/gnss/gnss_test_support.h"

namespace stillpoint {
namespace {

using test::glonass_set;
using test::kepler_set;
using test::tow;

constexpr SatId kG5{System::kGps, 5};
constexpr SatId kE5{System::kGalileo, 5};

KeplerEphemeris numbered(KeplerEphemeris e, int iode) {
  e.iode = iode;
  return e;
}

BroadcastOrbits store(std::vector<KeplerEphemeris> sets) {
  NavigationData data;
  data.kepler = std::move(sets);
  BroadcastOrbits orbits;
  orbits.add(data);
  return orbits;
}

NoState reason(const BroadcastOrbits& orbits, SatId sat, GnssTime t) {
  const auto s = orbits.state(sat, t);
  EXPECT_FALSE(s);
  return s ? NoState::kNoClock : s.error();
}

TEST(BroadcastOrbits, TakesTheSetNearestInTime) {
  const auto orbits =
      store({numbered(kepler_set(kG5, NavMessage::kLnav, tow(14400)), 2),
             numbered(kepler_set(kG5, NavMessage::kLnav, tow(7200)), 1)});
  EXPECT_EQ(orbits.state(kG5, tow(7200))->issue, 1);
  EXPECT_EQ(orbits.state(kG5, tow(10700))->issue, 1);
  EXPECT_EQ(orbits.state(kG5, tow(10900))->issue, 2);
  EXPECT_EQ(orbits.state(kG5, tow(21600))->issue, 2);
}

TEST(BroadcastOrbits, SaysWhyThereIsNoState) {
  auto ill = kepler_set({System::kGps, 6}, NavMessage::kLnav, tow(7200));
  ill.health = 63;
  const auto orbits =
      store({kepler_set(kG5, NavMessage::kLnav, tow(7200)), ill});
  EXPECT_EQ(reason(orbits, {System::kGps, 7}, tow(7200)),
            NoState::kUnknownSatellite);
  EXPECT_EQ(reason(orbits, {System::kGlonass, 7}, tow(7200)),
            NoState::kUnknownSatellite);
  EXPECT_EQ(reason(orbits, {System::kGps, 0}, tow(7200)),
            NoState::kUnknownSatellite);
  EXPECT_EQ(reason(orbits, kG5, tow(7200 + 7201)), NoState::kOutsideValidity);
  EXPECT_EQ(reason(orbits, kG5, tow(7200, test::kWeek + 1)),
            NoState::kOutsideValidity);
  EXPECT_EQ(reason(orbits, {System::kGps, 6}, tow(7200)), NoState::kUnhealthy);
  EXPECT_STREQ(no_state_name(NoState::kUnhealthy), "unhealthy");
}

TEST(BroadcastOrbits, ALaterSetThatWasAlreadySentCanSayUnhealthy) {
  auto before = kepler_set(kG5, NavMessage::kLnav, tow(7200));
  before.transmitted = tow(3600);
  auto after = kepler_set(kG5, NavMessage::kLnav, tow(14400));
  after.transmitted = tow(9000);
  after.health = 1;
  const auto orbits = store({before, after});
  EXPECT_TRUE(orbits.state(kG5, tow(8999)));
  EXPECT_EQ(reason(orbits, kG5, tow(9001)), NoState::kUnhealthy);
}

TEST(BroadcastOrbits, GalileoPrefersFnavAndOlderSets) {
  auto orbits = store({
      numbered(kepler_set(kE5, NavMessage::kInav, tow(7200)), 11),
      numbered(kepler_set(kE5, NavMessage::kFnav, tow(3600)), 20),
      numbered(kepler_set(kE5, NavMessage::kFnav, tow(36000)), 21),
  });
  EXPECT_EQ(orbits.state(kE5, tow(7200))->issue, 20);
  // 4 h after F/NAV: still I/NAV, later nothing; an hour before is allowed.
  EXPECT_EQ(orbits.state(kE5, tow(3600 + 14500))->issue, 11);
  EXPECT_EQ(reason(orbits, kE5, tow(30000)), NoState::kOutsideValidity);
  EXPECT_EQ(orbits.state(kE5, tow(36000 - 3500))->issue, 21);
}

TEST(BroadcastOrbits, DropsDuplicatesAndNonsense) {
  auto set = kepler_set(kG5, NavMessage::kLnav, tow(7200));
  auto again = set;
  again.transmitted = tow(7300);
  auto nonsense = set;
  nonsense.sat.number = 9;
  nonsense.eccentricity = 1.5;
  auto wrong_kind = set;
  wrong_kind.sat = {System::kGlonass, 5};
  NavigationData data;
  data.kepler = {set, again, nonsense, wrong_kind};
  data.state = {glonass_set(3, tow(7200))};
  data.ionosphere.gps = Klobuchar{{1, 2, 3, 4}, {5, 6, 7, 8}};
  BroadcastOrbits orbits;
  orbits.add(data);
  data.ionosphere.gps = Klobuchar{};
  orbits.add(data);
  EXPECT_EQ(orbits.satellite_count(System::kGps), 1);
  EXPECT_EQ(orbits.satellite_count(System::kGlonass), 1);
  EXPECT_EQ(orbits.satellite_count(System::kGalileo), 0);
  EXPECT_EQ(orbits.ionosphere().gps->alpha[1], 2);
  EXPECT_EQ(orbits.frame_label(), "WGS84");
}

TEST(BroadcastOrbits, GlonassStateAndChannel) {
  NavigationData data;
  data.state = {glonass_set(3, tow(7200)), glonass_set(3, tow(9000))};
  BroadcastOrbits orbits;
  orbits.add(data);
  const SatId r3{System::kGlonass, 3};
  EXPECT_EQ(orbits.glonass_channel(r3), -4);
  EXPECT_FALSE(orbits.glonass_channel({System::kGlonass, 4}));
  EXPECT_FALSE(orbits.glonass_channel(kG5));
  EXPECT_TRUE(orbits.state(r3, tow(10800)));
  EXPECT_EQ(reason(orbits, r3, tow(10801)), NoState::kOutsideValidity);
  EXPECT_EQ(orbits.group_delay_s(r3, tow(9000), {'1', 'C'}), 0.0);
}

struct HealthCase {
  SatId sat;
  NavMessage message;
  bool healthy;
  unsigned word;
};

// kind: published
// source: IS-GPS-200 20.3.3.3.1.4 and 30.3.3.1.1.2, IS-QZSS-PNT 4.1, Galileo
// OS SIS ICD 5.1.9.3 as placed in the word by RINEX 3.05 table A8, NavIC in
// RINEX 3.05 table A18 (all from memory)
TEST(Health, WordMeansWhatTheSystemSays) {
  constexpr SatId kJ2{System::kQzss, 2};
  constexpr SatId kC8{System::kBeidou, 8};
  constexpr SatId kI3{System::kNavic, 3};
  const HealthCase cases[] = {
      {kG5, NavMessage::kLnav, true, 0},
      {kG5, NavMessage::kLnav, false, 1},
      {kG5, NavMessage::kCnav, true, 1},  // L5 only
      {kG5, NavMessage::kCnav, false, 2},
      {kG5, NavMessage::kCnav2, false, 1},
      {kJ2, NavMessage::kLnav, true, 1},  // a signal that is not sent
      {kJ2, NavMessage::kLnav, false, 32},
      {kE5, NavMessage::kInav, false, 390},  // E1 and E5b in test
      {kE5, NavMessage::kFnav, false, 48},   // E5a in test
      {kE5, NavMessage::kInav, true, 48},    // E5a is none of its signals
      {kE5, NavMessage::kFnav, false, 1},    // E1-B data not valid
      {kC8, NavMessage::kD1, false, 1},
      {kC8, NavMessage::kBcnav1, true, 0},
      {kI3, NavMessage::kLnav, true, 1},
      {kI3, NavMessage::kLnav, false, 2},
  };
  for (const HealthCase& c : cases) {
    auto e = kepler_set(c.sat, c.message, tow(0));
    e.health = c.word;
    EXPECT_EQ(is_healthy(e), c.healthy)
        << c.sat.text() << " " << message_name(c.message) << " " << c.word;
  }
}

TEST(Health, GlonassAndSbas) {
  StateEphemeris e = glonass_set(3, tow(0));
  EXPECT_TRUE(is_healthy(e));
  e.health = 1;
  EXPECT_FALSE(is_healthy(e));
  e.health = static_cast<int>(kGlonassUnhealthyL3);
  EXPECT_FALSE(is_healthy(e));
  e.health = static_cast<int>(kGlonassUnhealthyAlmanac);
  EXPECT_TRUE(is_healthy(e));
  StateEphemeris s;
  s.sat = {System::kSbas, 23};
  s.accuracy_m = 4;
  EXPECT_TRUE(is_healthy(s));
  s.accuracy_m = 32767;
  EXPECT_FALSE(is_healthy(s));
  s.accuracy_m = 4;
  s.health = 63;
  EXPECT_FALSE(is_healthy(s));
}

TEST(Validity, FitIntervalCountsForGps) {
  auto e = kepler_set(kG5, NavMessage::kLnav, tow(0));
  EXPECT_EQ(validity_s(e), 7200);
  e.fit_interval_s = 6 * 3600;
  EXPECT_EQ(validity_s(e), 10800);
  e.fit_interval_s = 1e9;
  EXPECT_EQ(validity_s(e), 14 * 3600);
}

TEST(RangeSigma, HasAFloorAndADefault) {
  auto e = kepler_set(kG5, NavMessage::kLnav, tow(0));
  EXPECT_EQ(evaluate(e, tow(0)).range_sigma_m, 2.0);
  e.accuracy_m = 0.1;
  EXPECT_EQ(evaluate(e, tow(0)).range_sigma_m, 0.5);
  e.accuracy_m = kMissing;
  EXPECT_EQ(evaluate(e, tow(0)).range_sigma_m, 3.0);
  EXPECT_EQ(evaluate(glonass_set(1, tow(0)), tow(0)).range_sigma_m, 5.0);
}

TEST(Plausible, RefusesNumbersThatAreNoOrbit) {
  auto e = kepler_set(kG5, NavMessage::kLnav, tow(0));
  EXPECT_TRUE(is_plausible(e));
  e.sqrt_a_sqrt_m = 0;
  EXPECT_FALSE(is_plausible(e));
  e = kepler_set(kG5, NavMessage::kLnav, tow(0));
  e.m0_rad = kMissing;
  EXPECT_FALSE(is_plausible(e));
  e = kepler_set(kG5, NavMessage::kLnav, tow(0));
  e.toc = tow(0, test::kWeek + 1);
  EXPECT_FALSE(is_plausible(e));
  StateEphemeris s = glonass_set(1, tow(0));
  s.channel = 40;
  EXPECT_FALSE(is_plausible(s));
  s = glonass_set(1, tow(0));
  s.position_m = {};
  EXPECT_FALSE(is_plausible(s));
}

}  // namespace
}  // namespace stillpoint

#include <gtest/gtest.h>

#include "stillpoint/gnss/gnss_test_support.h"

namespace stillpoint {
namespace {

using test::kepler_set;
using test::tow;

// Delay of the ionosphere-free combination of two signals [s].
double pair_delay_s(const KeplerEphemeris& e, SignalCode a, SignalCode b) {
  const double fa = *frequency_hz(e.sat.system, a.band);
  const double fb = *frequency_hz(e.sat.system, b.band);
  return (fa * fa * group_delay_s(e, a).value() -
          fb * fb * group_delay_s(e, b).value()) /
         (fa * fa - fb * fb);
}

KeplerEphemeris with_delays(SatId sat,
                            NavMessage message,
                            double first_s,
                            double second_s) {
  KeplerEphemeris e = kepler_set(sat, message, tow(1e5));
  e.group_delay_s = {first_s, second_s};
  return e;
}

// kind: cross
// source: each ICD's definition: the clock refers to this pair
// tolerance: 1e-21 s, rounding (3e-13 m)
TEST(GroupDelay, TheClocksReferencePairNeedsNone) {
  const auto gps =
      with_delays({System::kGps, 5}, NavMessage::kLnav, -1.1e-8, 0);
  EXPECT_NEAR(pair_delay_s(gps, {'1', 'W'}, {'2', 'W'}), 0, 1e-21);
  const auto qzss = with_delays({System::kQzss, 2}, NavMessage::kLnav, 5e-9, 0);
  EXPECT_NEAR(pair_delay_s(qzss, {'1', 'C'}, {'2', 'L'}), 0, 1e-21);
  const auto fnav =
      with_delays({System::kGalileo, 5}, NavMessage::kFnav, -4e-9, kMissing);
  EXPECT_NEAR(pair_delay_s(fnav, {'1', 'C'}, {'5', 'Q'}), 0, 1e-21);
  const auto inav =
      with_delays({System::kGalileo, 5}, NavMessage::kInav, -4e-9, -6e-9);
  EXPECT_NEAR(pair_delay_s(inav, {'1', 'C'}, {'7', 'Q'}), 0, 1e-21);
  const auto navic =
      with_delays({System::kNavic, 2}, NavMessage::kLnav, -1.8e-9, 0);
  EXPECT_NEAR(pair_delay_s(navic, {'5', 'A'}, {'9', 'A'}), 0, 1e-21);
}

// kind: cross
// source: IS-GPS-200 20.3.3.3.3.2: the L1 user subtracts TGD from the clock
// offset; corrected code = P + c (clock - TGD) = P + c clock - c delay
TEST(GroupDelay, GpsSignIsThatOfTgd) {
  const auto e = with_delays({System::kGps, 5}, NavMessage::kLnav, -1.1e-8, 0);
  EXPECT_EQ(group_delay_s(e, {'1', 'C'}), -1.1e-8);
  EXPECT_FALSE(group_delay_s(e, {'5', 'Q'}));
  EXPECT_GT(*group_delay_s(e, {'2', 'L'}) / -1.1e-8, 1.64);
}

// kind: cross
// source: IS-GPS-200 30.3.3.3.1.1, IS-GPS-705: TGD minus the signal's ISC
TEST(GroupDelay, CnavAddsInterSignalCorrections) {
  auto e = with_delays({System::kGps, 5}, NavMessage::kCnav, 5e-9, 0);
  e.isc_s = {-3e-10, -2.5e-9, 7.1e-9, 7.2e-9, kMissing, kMissing};
  EXPECT_DOUBLE_EQ(*group_delay_s(e, {'1', 'C'}), 5e-9 + 3e-10);
  EXPECT_DOUBLE_EQ(*group_delay_s(e, {'2', 'L'}), 5e-9 + 2.5e-9);
  EXPECT_DOUBLE_EQ(*group_delay_s(e, {'5', 'I'}), 5e-9 - 7.1e-9);
  EXPECT_DOUBLE_EQ(*group_delay_s(e, {'5', 'X'}), 5e-9 - 7.2e-9);
  EXPECT_DOUBLE_EQ(*group_delay_s(e, {'1', 'W'}), 5e-9);
}

// kind: cross
// source: Galileo OS SIS ICD 5.1.5: BGD(E1, x) is the difference of the two
// delays over 1 - (f1/fx)^2, whichever message the clock is of
// tolerance: 1e-21 s, rounding
TEST(GroupDelay, GalileoMessagesAgreeOnDifferencesOfSignals) {
  const auto fnav =
      with_delays({System::kGalileo, 5}, NavMessage::kFnav, -4e-9, -6e-9);
  auto inav = fnav;
  inav.message = NavMessage::kInav;
  for (const char band : {'5', '7'}) {
    const SignalCode s{band, 'X'};
    const double a = *group_delay_s(fnav, s) - *group_delay_s(fnav, {'1', 'X'});
    const double b = *group_delay_s(inav, s) - *group_delay_s(inav, {'1', 'X'});
    EXPECT_NEAR(a, b, 1e-21);
  }
  EXPECT_FALSE(group_delay_s(fnav, {'6', 'C'}));
  EXPECT_FALSE(group_delay_s(fnav, {'8', 'Q'}));
  auto bare = fnav;
  bare.group_delay_s[1] = kMissing;
  EXPECT_FALSE(group_delay_s(bare, {'7', 'Q'}));
}

TEST(GroupDelay, BeidouRefersToB3) {
  const auto d1 =
      with_delays({System::kBeidou, 20}, NavMessage::kD1, 1e-8, -2e-9);
  EXPECT_EQ(group_delay_s(d1, {'2', 'I'}), 1e-8);
  EXPECT_EQ(group_delay_s(d1, {'7', 'I'}), -2e-9);
  EXPECT_EQ(group_delay_s(d1, {'6', 'I'}), 0.0);
  EXPECT_FALSE(group_delay_s(d1, {'1', 'P'}));
  EXPECT_FALSE(group_delay_s(d1, {'7', 'D'}));
  auto b1 =
      with_delays({System::kBeidou, 20}, NavMessage::kBcnav1, 9e-9, -5e-9);
  EXPECT_EQ(group_delay_s(b1, {'1', 'P'}), 9e-9);
  EXPECT_EQ(group_delay_s(b1, {'5', 'P'}), -5e-9);
  EXPECT_FALSE(group_delay_s(b1, {'1', 'D'}));
  b1.isc_s[0] = -1e-9;
  EXPECT_DOUBLE_EQ(*group_delay_s(b1, {'1', 'D'}), 8e-9);
  EXPECT_FALSE(group_delay_s(b1, {'2', 'I'}));
  const auto b3 =
      with_delays({System::kBeidou, 20}, NavMessage::kBcnav3, 3e-9, 0);
  EXPECT_EQ(group_delay_s(b3, {'7', 'D'}), 3e-9);
  EXPECT_FALSE(group_delay_s(b3, {'5', 'P'}));
}

TEST(GroupDelay, GlonassRefersToL1) {
  StateEphemeris e = test::glonass_set(4, tow(0));
  EXPECT_EQ(group_delay_s(e, {'1', 'C'}), 0.0);
  EXPECT_EQ(group_delay_s(e, {'2', 'P'}), 0.0);
  e.l2_minus_l1_s = 8e-9;
  EXPECT_EQ(group_delay_s(e, {'2', 'P'}), 8e-9);
  EXPECT_FALSE(group_delay_s(e, {'3', 'Q'}));
}

// The store finds what the chosen message lacks in another one.
TEST(BroadcastOrbits, DelaysOfOtherMessagesAreUsed) {
  NavigationData data;
  data.kepler.push_back(
      with_delays({System::kGps, 5}, NavMessage::kLnav, 5e-9, 0));
  auto cnav = with_delays({System::kGps, 5}, NavMessage::kCnav, 5e-9, 0);
  cnav.isc_s[3] = 7e-9;
  data.kepler.push_back(cnav);
  data.kepler.push_back(
      with_delays({System::kGalileo, 5}, NavMessage::kFnav, -4e-9, kMissing));
  data.kepler.push_back(
      with_delays({System::kGalileo, 5}, NavMessage::kInav, -4e-9, -6e-9));
  data.kepler.push_back(
      with_delays({System::kBeidou, 20}, NavMessage::kD1, 1e-8, -2e-9));
  data.kepler.push_back(
      with_delays({System::kBeidou, 20}, NavMessage::kBcnav2, 9e-9, -5e-9));
  BroadcastOrbits orbits;
  orbits.add(data);
  const GnssTime t = tow(1e5 + 60);
  EXPECT_DOUBLE_EQ(
      orbits.group_delay_s({System::kGps, 5}, t, {'5', 'Q'}).value(), -2e-9);
  EXPECT_DOUBLE_EQ(
      orbits.group_delay_s({System::kBeidou, 20}, t, {'5', 'P'}).value(),
      -5e-9);
  // F/NAV clock, E5b through the BGD of I/NAV: as if one message had both.
  const auto whole =
      with_delays({System::kGalileo, 5}, NavMessage::kFnav, -4e-9, -6e-9);
  EXPECT_DOUBLE_EQ(
      orbits.group_delay_s({System::kGalileo, 5}, t, {'7', 'Q'}).value(),
      group_delay_s(whole, {'7', 'Q'}).value());
  EXPECT_FALSE(orbits.group_delay_s({System::kGps, 6}, t, {'1', 'C'}));
}

}  // namespace
}  // namespace stillpoint

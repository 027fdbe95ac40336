#include "stillpoint/models/yaw_turns.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/models/orbit_scene_for_tests.h"
#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

// kind: cross   source: the limits of kFleets, over whole orbits in steps of
// 30 s, where the nominal yaw would jump by up to 180 degrees
// tolerance: 0.05 degrees: FOC's period, which ends its cosine 0.01 early, and
// nominal steering's own part of a step
TEST(YawTurns, NoYawJumpsAndNoLimitIsPassed) {
  for (const Fleet& fleet : kFleets) {
    for (const double beta :
         {0.02, 0.1, 0.3, 0.49, 0.6, 1.0, 2.0, 3.5, 6.0, 12.0}) {
      for (const double sign : {-1.0, 1.0}) {
        const double step = 2 * kPi * 30 / fleet.period_s;
        double before =
            Scene(fleet.period_s, sign * beta * kDeg, -1).yaw_rad(fleet.habit);
        double largest = 0;
        for (const double orbit : steps(-1 + step, 2 * kPi - 1, step)) {
          const double yaw = Scene(fleet.period_s, sign * beta * kDeg, orbit)
                                 .yaw_rad(fleet.habit);
          largest = std::max(largest, std::abs(difference(yaw, before)));
          before = yaw;
        }
        EXPECT_LT(largest / kDeg, fleet.rate_degps * 30 + 0.05)
            << static_cast<int>(fleet.habit) << " beta " << sign * beta;
      }
    }
  }
}

// Largest beta [deg] at which anything differs from nominal at noon.
double largest_turning_beta_deg(const Fleet& fleet) {
  double largest = 0;
  for (const double beta : steps(0.1, 12, 0.01)) {
    for (const double orbit : steps(-0.3, 0.3, 0.01)) {
      if (Scene(fleet.period_s, beta * kDeg, kPi + orbit)
              .note(fleet.habit)
              .turning) {
        largest = beta;
      }
    }
  }
  return largest;
}

// kind: published   source: from memory: IIR noon and midnight turns below 2.4
// degrees, IIA noon turns below 3.6 to 4.9 (Kouba 2009); GLONASS-M noon turns
// below 2.0 (Dilssner et al. 2011); IIF noon turns below 4 (Dilssner 2010);
// Galileo IOV 2, FOC 4.1 (EU Agency for the Space Programme, satellite
// metadata)
// tolerance: what the printed digits leave, and the step of 0.01
TEST(YawTurns, TurnsBeginAtThePublishedBeta) {
  EXPECT_NEAR(
      largest_turning_beta_deg({YawHabit::kGpsIIR, 43'077, 0}), 2.4, 0.05);
  const double iia = largest_turning_beta_deg({YawHabit::kGpsIIA, 43'077, 0});
  EXPECT_GT(iia, 3.6);
  EXPECT_LT(iia, 4.9);
  EXPECT_NEAR(
      largest_turning_beta_deg({YawHabit::kGlonassM, 40'544, 0}), 2.0, 0.05);
  EXPECT_NEAR(
      largest_turning_beta_deg({YawHabit::kGpsIIF, 43'077, 0}), 4.0, 0.5);
  EXPECT_NEAR(
      largest_turning_beta_deg({YawHabit::kGalileoIov, 50'685, 0}), 2.0, 0.02);
  EXPECT_NEAR(
      largest_turning_beta_deg({YawHabit::kGalileoFoc, 50'685, 0}), 4.1, 0.02);
}

// Seconds a habit turns in one passage of noon or midnight.
double turning_s(const Fleet& fleet, double beta_deg, double centre_rad) {
  const double step = 2 * kPi * 10 / fleet.period_s;
  double sum_s = 0;
  for (const double orbit : steps(centre_rad - 0.7, centre_rad + 0.7, step)) {
    const Scene scene(fleet.period_s, beta_deg * kDeg, orbit);
    sum_s += scene.note(fleet.habit).turning ? 10 : 0;
  }
  return sum_s;
}

// kind: cross   source: half a turn at the limit takes 180 degrees over the
// rate, as beta goes to 0
// tolerance: 2 %: at this beta a late turn begins 1.2 degrees on, and steps are
// 10 s
TEST(YawTurns, AHalfTurnTakesAsLongAsTheRateSays) {
  const Fleet iir{YawHabit::kGpsIIR, 43'077, 0.20};
  const Fleet glonass{YawHabit::kGlonassM, 40'544, 0.25};
  const double iir_s = 180 / 0.20;
  EXPECT_NEAR(turning_s(iir, 0.001, kPi), iir_s, 0.02 * iir_s);
  EXPECT_NEAR(turning_s(iir, 0.001, 0), iir_s, 0.02 * iir_s);
  EXPECT_NEAR(turning_s(glonass, 0.001, kPi), 180 / 0.25, 0.02 * 180 / 0.25);
}

// kind: cross   source: definition of a late turn: it begins where the nominal
// rate, by differences of eq. 1, reaches the limit, and at once has that rate
// tolerance: 2 % of the nominal rate, which grows by that within a step of 1 s;
// 1e-6 deg of the limited one, rounding
TEST(YawTurns, ALateTurnBeginsWhereTheNominalRateReachesTheLimit) {
  const double second = 2 * kPi / 43'077;
  for (const double beta : {0.1, 0.7, 1.5, 2.2}) {
    for (const double centre : {0.0, kPi}) {
      double orbit = centre - 0.3;
      while (
          !Scene(43'077, beta * kDeg, orbit).note(YawHabit::kGpsIIR).turning) {
        orbit += second;
        ASSERT_LT(orbit, centre + 0.3);
      }
      const Scene now(43'077, beta * kDeg, orbit);
      const Scene before(43'077, beta * kDeg, orbit - second);
      const Scene after(43'077, beta * kDeg, orbit + second);
      const double nominal =
          std::abs(difference(now.nominal_rad(), before.nominal_rad()));
      EXPECT_NEAR(nominal / kDeg, 0.20, 0.20 * 0.02) << beta;
      const double limited = std::abs(difference(
          after.yaw_rad(YawHabit::kGpsIIR), now.yaw_rad(YawHabit::kGpsIIR)));
      EXPECT_NEAR(limited / kDeg, 0.20, 1e-6) << beta;
    }
  }
}

// kind: published   source: from memory: IIA's noon turn goes the other way
// for beta between 0 and its bias of +0.5 degrees, IIF's between 0 and -0.7
// (Kouba 2009; Dilssner 2010)
// tolerance: none, a sign
TEST(YawTurns, TheBiasReversesTheNoonTurn) {
  const auto direction = [](YawHabit habit, double beta) {
    const double second = 2 * kPi / 43'077;
    return difference(Scene(43'077, beta * kDeg, kPi + second).yaw_rad(habit),
                      Scene(43'077, beta * kDeg, kPi).yaw_rad(habit)) < 0;
  };
  EXPECT_TRUE(direction(YawHabit::kGpsIIA, 0.6));
  EXPECT_FALSE(direction(YawHabit::kGpsIIA, 0.4));
  EXPECT_FALSE(direction(YawHabit::kGpsIIA, -0.4));
  EXPECT_TRUE(direction(YawHabit::kGpsIIF, 0.4));
  EXPECT_TRUE(direction(YawHabit::kGpsIIF, -0.6));
  EXPECT_FALSE(direction(YawHabit::kGpsIIF, -0.8));
}

// kind: published   source: from memory: Galileo's laws in the satellite
// metadata: IOV at noon yaws as nominal at beta 2 degrees; FOC is
// square to the motion a quarter period after entry, the yaw then changing by
// its distance at entry times 2 pi / 5656 s
// tolerance: IOV 1e-3 of the rate: differences over 1 s; FOC the 0.43 %
// that half its period is longer than 20 degrees take
TEST(YawTurns, GalileoTurnsByItsPublishedLaws) {
  const double second = 2 * kPi / 50'685;
  const auto rate = [&](YawHabit habit, double beta) {
    const Scene after(50'685, beta * kDeg, second / 2);
    const Scene before(50'685, beta * kDeg, -second / 2);
    return difference(after.yaw_rad(habit), before.yaw_rad(habit));
  };
  for (const double beta : {0.06, 1.0, 1.9}) {
    const double iov = second / std::tan(2 * kDeg);
    EXPECT_NEAR(rate(YawHabit::kGalileoIov, beta), iov, 1e-3 * iov);
    const double entry = std::atan2(std::sin(10 * kDeg), std::tan(beta * kDeg));
    const double foc = entry * 2 * kPi / 5656;
    EXPECT_NEAR(rate(YawHabit::kGalileoFoc, beta), foc, 1e-3 * foc);
    const Scene noon(50'685, beta * kDeg, kPi);
    EXPECT_NEAR(noon.yaw_rad(YawHabit::kGalileoIov), -kPi / 2, 1e-9);
    EXPECT_NEAR(noon.yaw_rad(YawHabit::kGalileoFoc),
                -kPi / 2,
                entry * 0.0045 * kPi / 2);
  }
}

// kind: published   source: from memory: GLONASS-M in shadow (half width
// 14.2 degrees, Dilssner et al. 2011) turns at 0.25 deg/s to the yaw of the
// exit and holds it; IIF turns evenly (Dilssner 2010)
// tolerance: 0.05 degrees of the half width, its printed digit; 1e-9 rad
TEST(YawTurns, ShadowTurnsEndAtTheExitsYaw) {
  EXPECT_NEAR(umbra_half_width_rad(25.508e6) / kDeg, 14.2, 0.05);
  // Kouba 2009: 13.5 degrees for GPS, from memory; his is 0.13 smaller.
  EXPECT_NEAR(umbra_half_width_rad(26.56e6) / kDeg, 13.5, 0.15);
  const double beta = 1.5 * kDeg;
  const double radius_m = norm(Scene(40'544, beta, 0).satellite_m);
  const double edge =
      std::acos(std::cos(umbra_half_width_rad(radius_m)) / std::cos(beta));
  const double exit_rad = Scene(40'544, beta, edge).nominal_rad();
  const double half_turn_s = 180 / 0.25;
  const double waits_from = -edge + half_turn_s * 2 * kPi / 40'544;
  ASSERT_LT(waits_from, edge);
  for (const double orbit : steps(waits_from, edge - 1e-6, 0.01)) {
    const double off = difference(
        Scene(40'544, beta, orbit).yaw_rad(YawHabit::kGlonassM), exit_rad);
    EXPECT_NEAR(off, 0, 1e-9);
  }
  const double gps_edge = std::acos(
      std::cos(umbra_half_width_rad(norm(Scene(43'077, beta, 0).satellite_m))) /
      std::cos(beta));
  const double half_yaw = difference(
      Scene(43'077, beta, gps_edge / 2).yaw_rad(YawHabit::kGpsIIF), -kPi / 2);
  const double full_yaw = difference(
      Scene(43'077, beta, gps_edge + 1e-9).yaw_rad(YawHabit::kGpsIIF),
      -kPi / 2);
  EXPECT_NEAR(half_yaw, full_yaw / 2, 1e-7);
}

// kind: published   source: from memory: after shadow a IIA is not predictable
// for up to 30 minutes (Kouba 2009)
// tolerance: 20 s, the step is 10 s
TEST(YawTurns, AIIAIsUncertainForHalfAnHourAfterShadow) {
  const double step = 2 * kPi * 10 / 43'077;
  double iia_s = 0;
  for (const double orbit : steps(-0.7, 0.7, step)) {
    const Scene scene(43'077, -2.5 * kDeg, orbit);
    iia_s += scene.note(YawHabit::kGpsIIA).uncertain ? 10 : 0;
    EXPECT_FALSE(scene.note(YawHabit::kGpsIIF).uncertain);
  }
  EXPECT_NEAR(iia_s, 1800, 20);
}

TEST(YawTurns, TheDirectionOfATurnIsUncertainWhereBetaIsNearlyZero) {
  for (const Fleet& fleet : kFleets) {
    EXPECT_TRUE(
        Scene(fleet.period_s, 0.01 * kDeg, kPi).note(fleet.habit).uncertain);
  }
  const Scene sure(43'077, 1.0 * kDeg, kPi);
  EXPECT_TRUE(sure.note(YawHabit::kGpsIIR).turning);
  EXPECT_FALSE(sure.note(YawHabit::kGpsIIR).uncertain);
}

}  // namespace
}  // namespace stillpoint::models

#include "stillpoint/models/attitude.h"

#include <gtest/gtest.h>

#include <random>
#include <utility>
#include <vector>

#include "stillpoint/models/orbit_scene_for_tests.h"
#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

// kind: cross   source: definition of nominal steering, 1000 random scenes
// tolerance: 1e-9, rounding of vectors a degree from the Sun's direction
TEST(SatelliteAxes, NominalYIsAcrossTheSunAndXTowardsIt) {
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  for (int i = 0; i < 1000; ++i) {
    const auto draw = [&](double size) {
      return Ecef{
          size * normal(random), size * normal(random), size * normal(random)};
    };
    const Ecef satellite_m = draw(2e7);
    const Ecef sun_m = draw(1e11);
    const BodyAxes b =
        satellite_axes(YawHabit::kNominal, satellite_m, draw(3e3), sun_m);
    const Ecef to_sun = sun_m - satellite_m;
    const Ecef e = (1 / norm(to_sun)) * to_sun;
    EXPECT_NEAR(dot(b.z, satellite_m), -norm(satellite_m), 1e-7);
    EXPECT_NEAR(dot(b.y, e), 0, 1e-9);
    EXPECT_NEAR(dot(b.y, b.z), 0, 1e-9);
    EXPECT_GT(dot(b.x, e), 0);
    EXPECT_NEAR(norm(b.y), 1, 1e-12);
    EXPECT_NEAR(norm(cross(b.x, b.y) - b.z), 0, 1e-12);
  }
}

// kind: cross   source: the yaw of Kouba 2009, eq. 1 (from memory), of scenes
// built from their angles
// tolerance: 1e-8 rad, rounding over the sine of half a degree
TEST(SatelliteAxes, NominalYawIsThePublishedFormula) {
  for (const double beta : steps(-60, 60, 7.3)) {
    for (const double orbit : steps(0.5, 360, 9)) {
      const Scene scene(43'077, beta * kDeg, orbit * kDeg);
      const double off =
          difference(scene.yaw_rad(YawHabit::kNominal), scene.nominal_rad());
      EXPECT_NEAR(off, 0, 1e-8) << beta << " " << orbit;
      EXPECT_NEAR(
          sun_beta_rad(scene.satellite_m, scene.velocity_mps, scene.sun_m),
          beta * kDeg,
          1e-12);
    }
  }
}

TEST(SatelliteAxes, FarFromNoonAndMidnightEveryHabitIsNominal) {
  for (const Fleet& fleet : kFleets) {
    for (const double beta : {-3.0, -0.2, 0.2, 3.0, 10.0}) {
      for (const double orbit : steps(45, 135, 5)) {
        for (const double side : {-1.0, 1.0}) {
          const Scene scene(fleet.period_s, beta * kDeg, side * orbit * kDeg);
          AttitudeNote note;
          const BodyAxes b = scene.axes(fleet.habit, &note);
          EXPECT_FALSE(note.turning);
          EXPECT_FALSE(note.uncertain);
          EXPECT_EQ(norm(b.x - scene.axes(YawHabit::kNominal).x), 0);
        }
      }
    }
  }
}

// kind: cross   source: geometry is mirrored with beta's sign; IIA and IIF are
// not, by their bias
// tolerance: 1e-9 rad, rounding
TEST(SatelliteAxes, TheOtherSideOfTheSunIsTheMirrorImage) {
  for (const Fleet& fleet : kFleets) {
    if (fleet.habit == YawHabit::kGpsIIA || fleet.habit == YawHabit::kGpsIIF) {
      continue;
    }
    for (const double beta : {1e-4, 0.1, 1.0, 3.5}) {
      for (const double orbit : steps(-20.5, 200, 1)) {
        const Scene plus(fleet.period_s, beta * kDeg, orbit * kDeg);
        const Scene minus(fleet.period_s, -beta * kDeg, orbit * kDeg);
        EXPECT_NEAR(
            difference(plus.yaw_rad(fleet.habit), -minus.yaw_rad(fleet.habit)),
            0,
            1e-9)
            << static_cast<int>(fleet.habit) << " " << beta << " " << orbit;
      }
    }
  }
}

// kind: cross   source: definition of orbit-normal flight: y against the
// orbit's normal, x along the motion in space
// tolerance: 1e-12, rounding
TEST(SatelliteAxes, OrbitNormalFlightFollowsTheMotion) {
  const std::vector<std::pair<YawHabit, double>> cases{
      {YawHabit::kBeidouGeo, 23},
      {YawHabit::kOrbitNormal, -50},
      {YawHabit::kBeidouMeoIgso, 3.99},
      {YawHabit::kBeidouMeoIgso, -3.99},
      {YawHabit::kQzss1, 19.9}};
  for (const auto& [habit, beta] : cases) {
    for (const double orbit : steps(0, 330, 30)) {
      const Scene scene(86'164, beta * kDeg, orbit * kDeg);
      AttitudeNote note;
      const BodyAxes b = scene.axes(habit, &note);
      EXPECT_NEAR(norm(b.x - scene.along), 0, 1e-12);
      EXPECT_NEAR(norm(b.y + scene.normal), 0, 1e-12);
      EXPECT_TRUE(note.turning);
    }
  }
  const Scene above(46'404, 4.01 * kDeg, 1);
  EXPECT_FALSE(above.note(YawHabit::kBeidouMeoIgso).turning);
  const Scene far(86'164, 20.1 * kDeg, 1);
  EXPECT_FALSE(far.note(YawHabit::kQzss1).turning);
}

// kind: cross   source: stated in the header: x along the motion
// tolerance: 1e-12, rounding
TEST(SatelliteAxes, TheSunStraightAboveLeavesXAlongTheMotion) {
  const Scene scene(43'077, 0, 1.1);
  const Ecef above = 5000.0 * scene.satellite_m;
  const BodyAxes b = satellite_axes(
      YawHabit::kNominal, scene.satellite_m, scene.velocity_mps, above);
  EXPECT_NEAR(norm(b.x - scene.along), 0, 1e-12);
  for (const Fleet& fleet : kFleets) {
    const BodyAxes turned = satellite_axes(
        fleet.habit, scene.satellite_m, scene.velocity_mps, above);
    EXPECT_NEAR(norm(turned.x), 1, 1e-12) << static_cast<int>(fleet.habit);
  }
}

TEST(YawHabit, IsThatOfTheBlockType) {
  const SatId gps{System::kGps, 7};
  EXPECT_EQ(yaw_habit(gps, "BLOCK IIA"), YawHabit::kGpsIIA);
  EXPECT_EQ(yaw_habit(gps, "BLOCK IIR-A"), YawHabit::kGpsIIR);
  EXPECT_EQ(yaw_habit(gps, "BLOCK IIR-M         "), YawHabit::kGpsIIR);
  EXPECT_EQ(yaw_habit(gps, "BLOCK IIF"), YawHabit::kGpsIIF);
  EXPECT_EQ(yaw_habit(gps, "BLOCK IIIA"), YawHabit::kGpsIII);
  EXPECT_EQ(yaw_habit(gps, "BLOCK I"), YawHabit::kNominal);
  EXPECT_EQ(yaw_habit(gps, ""), YawHabit::kNominal);
  EXPECT_EQ(yaw_habit(gps, "of the future"), YawHabit::kNominal);
  const SatId glonass{System::kGlonass, 7};
  EXPECT_EQ(yaw_habit(glonass, "GLONASS-M"), YawHabit::kGlonassM);
  EXPECT_EQ(yaw_habit(glonass, "GLONASS-K1"), YawHabit::kNominal);
  const SatId galileo{System::kGalileo, 11};
  EXPECT_EQ(yaw_habit(galileo, "GALILEO-1"), YawHabit::kGalileoIov);
  EXPECT_EQ(yaw_habit(galileo, "GALILEO-2"), YawHabit::kGalileoFoc);
  EXPECT_EQ(yaw_habit({System::kQzss, 1}, "QZSS"), YawHabit::kQzss1);
  EXPECT_EQ(yaw_habit({System::kQzss, 2}, "QZSS-2I"), YawHabit::kQzss2);
  EXPECT_EQ(yaw_habit({System::kQzss, 7}, "QZSS-2G"), YawHabit::kOrbitNormal);
}

TEST(YawHabit, OfBeidouIsAlsoByNumber) {
  const auto habit = [](std::uint8_t number, std::string_view type) {
    return yaw_habit({System::kBeidou, number}, type);
  };
  EXPECT_EQ(habit(6, "BEIDOU-2I"), YawHabit::kBeidouMeoIgso);
  EXPECT_EQ(habit(13, "BEIDOU-2I"), YawHabit::kBeidou3);
  EXPECT_EQ(habit(13, "BEIDOU-2M"), YawHabit::kBeidouMeoIgso);
  EXPECT_EQ(habit(1, "BEIDOU-2G"), YawHabit::kBeidouGeo);
  EXPECT_EQ(habit(24, "BEIDOU-3M-CAST"), YawHabit::kBeidou3);
  EXPECT_EQ(habit(59, "BEIDOU-3G-CAST"), YawHabit::kBeidouGeo);
  EXPECT_EQ(habit(5, ""), YawHabit::kBeidouGeo);
  EXPECT_EQ(habit(59, ""), YawHabit::kBeidouGeo);
  EXPECT_EQ(habit(6, ""), YawHabit::kNominal);
}

}  // namespace
}  // namespace stillpoint::models

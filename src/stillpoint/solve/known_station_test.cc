#include "stillpoint/solve/known_station.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/solve/network_scene_for_tests.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve {
namespace {

using Kind = KnownMotion::Kind;

GnssTime observed() {
  return *parse_time("2020-06-25T12:00:00");
}

KnownCoordinate coordinate(const char* frame, const char* epoch) {
  KnownCoordinate k;
  k.position_m = test_scene::here();
  k.sigma_m = {0.003, 0.004, 0.005};
  k.frame = frame;
  k.epoch = *parse_time(epoch);
  return k;
}

KnownMotion motion(Kind kind, const char* plate = "") {
  KnownMotion m;
  m.kind = kind;
  m.plate = plate;
  return m;
}

bool warns(const MovedKnown& m, std::string_view code) {
  for (const Warning& w : m.warnings) {
    if (w.code == code) {
      return true;
    }
  }
  return false;
}

TEST(MoveKnown, RefusesAnOldEpochWhenNobodySaidHowItMoves) {
  const auto got = move_known(coordinate("ITRF2014", "2010.0"), {}, observed());
  ASSERT_FALSE(got.has_value());
  EXPECT_EQ(got.error().code, ErrorCode::kMixedInput);
  EXPECT_TRUE(test_scene::says(got.error().what, "10.48 years later"));
  for (const char* option : {"--velocity", "--plate", "--no-motion"}) {
    EXPECT_TRUE(test_scene::says(got.error().remedy, option)) << option;
  }
}

TEST(MoveKnown, AFewDaysNeedNoMotion) {
  // 1 mm at 80 mm/year are 4.57 days.
  for (const char* epoch : {"2020-06-21", "2020-06-29T12:00:00"}) {
    const auto near = move_known(coordinate("IGb14", epoch), {}, observed());
    ASSERT_TRUE(near.has_value());
    EXPECT_EQ(near->moved_by, "none");
    EXPECT_EQ(near->moved_m, 0);
    EXPECT_EQ(near->position_m.x_m, test_scene::here().x_m);
    EXPECT_TRUE(near->warnings.empty());
    EXPECT_EQ(
        near->covariance_m2,
        (Cov3{0.003 * 0.003, 0, 0, 0, 0.004 * 0.004, 0, 0, 0, 0.005 * 0.005}));
  }
  for (const char* epoch : {"2020-06-20", "2020-06-30T06:00:00"}) {
    EXPECT_FALSE(move_known(coordinate("IGb14", epoch), {}, observed()));
  }
}

// kind: cross, velocity times years by hand   tolerance: 1e-9 m, rounding of
// coordinates of 4e6 m
TEST(MoveKnown, AGivenVelocityCarriesItForwardsAndBack) {
  KnownMotion m = motion(Kind::kVelocity);
  m.velocity = {-0.016, 0.017, 0.010};
  KnownCoordinate k = coordinate("ETRF2000", "2010.0");
  k.epoch = observed() - Duration{10 * 365.25 * 86400};
  const auto later = move_known(k, m, observed());
  ASSERT_TRUE(later.has_value());
  EXPECT_NEAR(later->position_m.x_m - k.position_m.x_m, -0.16, 1.5e-9);
  EXPECT_NEAR(later->position_m.y_m - k.position_m.y_m, 0.17, 1.5e-9);
  EXPECT_NEAR(later->position_m.z_m - k.position_m.z_m, 0.10, 1.5e-9);
  EXPECT_NEAR(later->moved_m, std::hypot(0.16, 0.17, 0.10), 3e-9);
  EXPECT_EQ(later->moved_by, "given velocity");
  EXPECT_EQ(later->covariance_m2[0], 0.003 * 0.003);
  k.epoch = observed() + Duration{365.25 * 86400};
  const auto earlier = move_known(k, m, observed());
  EXPECT_NEAR(earlier->position_m.x_m - k.position_m.x_m, 0.016, 1.5e-9);
}

TEST(MoveKnown, APlateIsThatOfTheModelOfTheFrame) {
  const auto by2014 = move_known(
      coordinate("IGb14", "2010.0"), motion(Kind::kPlate, "eura"), observed());
  ASSERT_TRUE(by2014.has_value());
  EXPECT_EQ(by2014->moved_by, "plate model ITRF2014 EURA");
  const auto by2020 = move_known(
      coordinate("igs20", "2010.0"), motion(Kind::kPlate, "EURA"), observed());
  ASSERT_TRUE(by2020.has_value());
  EXPECT_EQ(by2020->moved_by, "plate model ITRF2020 EURA");
  const double years = years_between(*parse_time("2010.0"), observed());
  const Ecef by_hand =
      moved_by(test_scene::here(),
               velocity_m_per_year(*find_plate(PlateModel::kItrf2020, "EURA"),
                                   test_scene::here()),
               years);
  // kind: cross, the datum module by hand; tolerance: rounding
  EXPECT_NEAR(norm(by2020->position_m - by_hand), 0, 1e-9);
  // kind: cross, ten years of central Europe are about 0.26 m (common practice,
  // no source); tolerance: 0.03 m, to catch a wrong unit
  EXPECT_NEAR(by2020->moved_m, 0.26, 0.03);
  // kind: cross, 1 mm/year a component beside the given sigmas
  EXPECT_NEAR(
      by2020->covariance_m2[4], 0.004 * 0.004 + 1e-6 * years * years, 1e-15);
}

TEST(MoveKnown, APlateNeedsAFrameThatHasAModel) {
  for (const char* frame : {"ITRF2008", "ETRF2000", "WGS84", "LOCAL", ""}) {
    const auto got = move_known(
        coordinate(frame, "2010.0"), motion(Kind::kPlate, "EURA"), observed());
    ASSERT_FALSE(got.has_value()) << frame;
    EXPECT_EQ(got.error().code, ErrorCode::kUnsupported) << frame;
    EXPECT_TRUE(test_scene::says(got.error().remedy, "--velocity"));
  }
  const auto amur = move_known(coordinate("ITRF2014", "2010.0"),
                               motion(Kind::kPlate, "AMUR"),
                               observed());
  ASSERT_FALSE(amur.has_value());
  EXPECT_EQ(amur.error().code, ErrorCode::kUsage);
  EXPECT_TRUE(test_scene::says(amur.error().remedy, "EURA"));
}

TEST(MoveKnown, WithoutMotionTheSizeOfWhatIsLeftOutIsNamed) {
  const auto got = move_known(
      coordinate("ITRF2014", "2010.48"), motion(Kind::kNone), observed());
  ASSERT_TRUE(got.has_value());
  EXPECT_EQ(got->moved_by, "none");
  EXPECT_EQ(got->position_m.x_m, test_scene::here().x_m);
  ASSERT_EQ(got->warnings.size(), 1U);
  EXPECT_EQ(got->warnings[0].code, "motion_left_out");
  ASSERT_TRUE(got->warnings[0].size_m.has_value());
  // kind: cross, 25 mm/year; tolerance: 1 mm, the epoch's digits
  EXPECT_NEAR(*got->warnings[0].size_m, 0.25, 0.001);
}

TEST(MoveKnown, WhatIsNotSaidIsWarnedOf) {
  KnownCoordinate k;
  k.position_m = test_scene::here();
  const auto bare = move_known(k, {}, observed());
  ASSERT_TRUE(bare.has_value());
  EXPECT_TRUE(warns(*bare, "frame_not_given"));
  EXPECT_TRUE(warns(*bare, "epoch_not_given"));
  EXPECT_TRUE(warns(*bare, "sigma_not_given"));
  EXPECT_FALSE(warns(*bare, "frame_unknown"));
  EXPECT_EQ(bare->covariance_m2, Cov3{});
  k.frame = "LOCAL7";
  const auto local = move_known(k, {}, observed());
  ASSERT_TRUE(local.has_value());
  EXPECT_TRUE(warns(*local, "frame_unknown"));
  EXPECT_FALSE(warns(*local, "frame_not_given"));
}

TEST(MoveKnown, AMotionWithoutAnEpochIsAUsageError) {
  KnownCoordinate k = coordinate("ITRF2014", "2010.0");
  k.epoch.reset();
  for (const Kind kind : {Kind::kVelocity, Kind::kPlate}) {
    const auto got = move_known(k, motion(kind, "EURA"), observed());
    ASSERT_FALSE(got.has_value());
    EXPECT_EQ(got.error().code, ErrorCode::kUsage);
    EXPECT_TRUE(test_scene::says(got.error().remedy, "@"));
  }
  EXPECT_TRUE(move_known(k, motion(Kind::kNone), observed()).has_value());
}

TEST(MoveKnown, AVelocityInMillimetresIsRefused) {
  KnownMotion m = motion(Kind::kVelocity);
  for (const double x : {-16.0, std::nan("")}) {
    m.velocity = {x, 17, 10};
    const auto got =
        move_known(coordinate("ITRF2014", "2010.0"), m, observed());
    ASSERT_FALSE(got.has_value());
    EXPECT_EQ(got.error().code, ErrorCode::kOutOfRange);
  }
}

}  // namespace
}  // namespace stillpoint::solve

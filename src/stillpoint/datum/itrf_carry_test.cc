// kind: published   source: stated above each test
#include "stillpoint/datum/itrf_carry.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "stillpoint/datum/national_frames.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

constexpr Ecef kEurope{4027893.6719, 307045.9069, 4919475.1704};
constexpr Ecef kCalifornia{-2700214.9470, -4292606.1880, 3855137.3850};

FramedPosition in_europe(const char* frame, double year) {
  FramedPosition p{kEurope, {frame}, from_decimal_year(year), {}, {}};
  p.covariance_m2 = {4e-6, 1e-6, 0, 1e-6, 5e-6, 0, 0, 0, 6e-6};
  return p;
}

Ecef place(double lat_deg, double lon_deg) {
  constexpr double kRad = std::numbers::pi / 180;
  return to_ecef({lat_deg * kRad, lon_deg * kRad, 100});
}

void expect_near(const Ecef& got, const Ecef& want, double tolerance_m) {
  EXPECT_NEAR(got.x_m, want.x_m, tolerance_m);
  EXPECT_NEAR(got.y_m, want.y_m, tolerance_m);
  EXPECT_NEAR(got.z_m, want.z_m, tolerance_m);
}

// kind: published   source: EPSG dataset v13.101 (IOGP), EPSG:9991
TEST(Carry, TheSetBetweenTheTwoRealisationsIsThePublishedOne) {
  const auto sets = parameter_sets();
  const auto set = std::find_if(sets.begin(), sets.end(), [](const auto& s) {
    return s.head.epsg == 9991;
  });
  ASSERT_NE(set, sets.end());
  EXPECT_EQ(set->head.from, "ITRF2014");
  EXPECT_EQ(set->head.to, "ITRF2020");
  EXPECT_EQ(set->head.epoch_year, 2015.0);
  EXPECT_EQ(set->value.t_mm, (std::array<double, 3>{1.4, 0.9, -1.4}));
  EXPECT_EQ(set->value.r_mas, (std::array<double, 3>{}));
  EXPECT_EQ(set->value.d_ppb, 0.42);
  EXPECT_EQ(set->per_year.t_mm, (std::array<double, 3>{0, 0.1, -0.2}));
  EXPECT_EQ(set->per_year.r_mas, (std::array<double, 3>{}));
  EXPECT_EQ(set->per_year.d_ppb, 0);
}

// kind: cross   source: EPSG:9991 at 2024.0 by a general coordinate library
// (proj=helmert) and by a separate script, which agree to 2e-6 m
// tolerance: 0.01 mm: five printed decimals and the 2e-6 m
TEST(Carry, FrameChangesAtTheOwnEpochAsOthersComputeIt) {
  const GnssTime epoch = from_decimal_year(2024.0);
  const auto there =
      carry(in_europe("IGb14", 2024.0), {{"ITRF2020"}, epoch, ""});
  ASSERT_TRUE(there.has_value());
  expect_near(
      there->position.ecef, {4027893.67499, 307045.90883, 4919475.16927}, 1e-5);
  EXPECT_EQ(there->position.frame.name, "ITRF2020");
  EXPECT_EQ(there->moved_by, "none");
  EXPECT_FALSE(there->broadcast);
}

// kind: published   source: ITRF2020 to ITRF2014 as the IERS tabulates it: T
// -1.4 -0.9 1.4 mm, D -0.42 ppb at 2015.0, rates 0 -0.1 0.2 mm/year, no
// rotation (from memory; the numbers of EPSG:9991 with the other sign)
// tolerance: 1e-9 m, the second order of 0.42 ppb and rounding
TEST(Carry, BackToTheOlderRealisationIsThePublishedReverse) {
  const auto back = carry(in_europe("IGS20", 2024.0),
                          {{"IGb14"}, from_decimal_year(2024.0), ""});
  ASSERT_TRUE(back.has_value());
  const double years = 2024.0 - 2015.0;
  const Ecef want{
      kEurope.x_m - 0.0014 - 0.42e-9 * kEurope.x_m,
      kEurope.y_m - 0.0009 - 0.0001 * years - 0.42e-9 * kEurope.y_m,
      kEurope.z_m + 0.0014 + 0.0002 * years - 0.42e-9 * kEurope.z_m};
  expect_near(back->position.ecef, want, 2e-9);
}

// kind: cross   source: there and back is the same point
// tolerance: 2e-9 m, rounding of coordinates of 5e6 m
TEST(Carry, ThereAndBackIsTheSamePoint) {
  const GnssTime epoch = from_decimal_year(2019.3);
  const auto there = carry(in_europe("IGS14", 2019.3), {{"IGb20"}, epoch, ""});
  ASSERT_TRUE(there.has_value());
  const auto back = carry(there->position, {{"IGS14"}, epoch, ""});
  ASSERT_TRUE(back.has_value());
  expect_near(back->position.ecef, kEurope, 2e-9);
}

// kind: cross   source: EURA of the ITRF2020 plate motion model at this place,
// -13.499 16.732 10.008 mm/year by an independent script (tests/vectors)
// tolerance: 0.01 mm: ten years of three printed decimals, and a decimal year
// that is not quite a Julian one
TEST(Carry, MovesWithThePlateOfThePlaceInTheNewFrame) {
  const auto moved = carry(in_europe("IGS20", 2014.0),
                           {{"ITRF2020"}, from_decimal_year(2024.0), ""});
  ASSERT_TRUE(moved.has_value());
  const double years =
      years_between(from_decimal_year(2014.0), from_decimal_year(2024.0));
  expect_near(moved->position.ecef,
              {kEurope.x_m - 0.013499 * years,
               kEurope.y_m + 0.016732 * years,
               kEurope.z_m + 0.010008 * years},
              1e-5);
  EXPECT_EQ(moved->moved_by, "plate model ITRF2020 EURA");
  EXPECT_NEAR(moved->moved_m, 0.2372, 2e-4);
  EXPECT_EQ(moved->position.epoch, from_decimal_year(2024.0));
}

// kind: cross   source: the rule of the header: 0.3 mm a year in each component
// tolerance: 1e-12 m2, a millionth of the smallest variance
TEST(Carry, ThePlatesUncertaintyIsAddedAndCorrelationsAreKept) {
  const FramedPosition before = in_europe("IGS20", 2014.0);
  const auto moved =
      carry(before, {{"IGS20"}, from_decimal_year(2024.0), "eura"});
  ASSERT_TRUE(moved.has_value());
  for (std::size_t i = 0; i < 9; ++i) {
    const bool diagonal = i % 4 == 0;
    const double years = years_between(before.epoch, moved->position.epoch);
    EXPECT_NEAR(moved->position.covariance_m2.at(i),
                before.covariance_m2.at(i) +
                    (diagonal ? std::pow(0.0003 * years, 2) : 0),
                1e-12);
  }
}

// kind: cross   source: the rule of the header: 0.05 m in each component
// tolerance: 1e-12 m2
TEST(Carry, TheBroadcastFrameIsComparableWithAnAddedSigma) {
  const GnssTime epoch = from_decimal_year(2024.0);
  const auto there =
      carry(in_europe("WGS84", 2024.0), {{"ITRF2020"}, epoch, ""});
  ASSERT_TRUE(there.has_value());
  EXPECT_TRUE(there->broadcast);
  EXPECT_NEAR(there->position.covariance_m2[0], 4e-6 + 0.0025, 1e-12);
  expect_near(there->position.ecef, kEurope, 1e-9);
  const auto same = carry(in_europe("WGS84", 2024.0), {{"WGS84"}, epoch, ""});
  ASSERT_TRUE(same.has_value());
  EXPECT_FALSE(same->broadcast);
  EXPECT_EQ(same->position.covariance_m2[0], 4e-6);
}

TEST(Carry, FramesOutsideTheFamilyAreRefused) {
  const GnssTime epoch = from_decimal_year(2024.0);
  for (const char* frame :
       {"ETRF2000", "NAD83(2011)", "ITRF2008", "ITRF", ""}) {
    const auto from =
        carry(in_europe(frame, 2024.0), {{"ITRF2020"}, epoch, ""});
    ASSERT_FALSE(from.has_value()) << frame;
    EXPECT_EQ(from.error(), CarryRefusal::kFrameUnknown);
    const auto to = carry(in_europe("ITRF2020", 2024.0), {{frame}, epoch, ""});
    ASSERT_FALSE(to.has_value()) << frame;
    EXPECT_EQ(to.error(), CarryRefusal::kFrameUnknown);
  }
  EXPECT_STREQ(carry_refusal_name(CarryRefusal::kFrameUnknown),
               "frame_unknown");
}

TEST(Carry, TheSameUnknownFrameIsComparableOnTheSameDayOnly) {
  const FramedPosition p = in_europe("ETRF2000", 2024.0);
  const auto same = carry(p, {{"etrf2000"}, p.epoch, ""});
  EXPECT_FALSE(same.has_value());  // names that are not known keep their case
  EXPECT_TRUE(carry(p, {{"ETRF2000"}, p.epoch + Duration{86400}, ""}));
  const auto later = carry(p, {{"ETRF2000"}, p.epoch + Duration{9e5}, ""});
  ASSERT_FALSE(later.has_value());
  EXPECT_EQ(later.error(), CarryRefusal::kFrameUnknown);
}

TEST(Carry, OutsideEuropeThePlateMustBeNamedUnlessItIsTheSameDay) {
  FramedPosition p = in_europe("IGS20", 2024.0);
  p.ecef = kCalifornia;
  const GnssTime later = p.epoch + Duration{400 * 86400.0};
  const auto unknown = carry(p, {{"IGS20"}, later, ""});
  ASSERT_FALSE(unknown.has_value());
  EXPECT_EQ(unknown.error(), CarryRefusal::kPlateUnknown);
  const auto wrong = carry(p, {{"IGb14"}, later, "AMUR"});  // only in 2020
  ASSERT_FALSE(wrong.has_value());
  EXPECT_EQ(wrong.error(), CarryRefusal::kPlateUnknown);
  const auto named = carry(p, {{"IGS20"}, later, "PCFC"});
  ASSERT_TRUE(named.has_value());
  EXPECT_EQ(named->moved_by, "plate model ITRF2020 PCFC");
  const auto near = carry(p, {{"IGS20"}, p.epoch + Duration{4 * 86400.0}, ""});
  ASSERT_TRUE(near.has_value());
  EXPECT_EQ(near->moved_by, "none");
  EXPECT_GT(near->position.covariance_m2[0], p.covariance_m2[0]);
}

TEST(PlateOfPlace, EuropeIsEurasiaButNotItsRestlessSouth) {
  for (const Ecef& at : {place(47.3, 8.9),
                         place(64.1, 39),
                         place(40.4, -3.7),
                         place(38.1, 13.4),
                         place(45, 25)}) {
    const auto plate = plate_of_place(PlateModel::kItrf2014, at);
    ASSERT_TRUE(plate.has_value());
    EXPECT_EQ(plate->label(), "ITRF2014 EURA");
  }
  for (const Ecef& at : {place(36.8, 3),     // African coast
                         place(39.9, 32.9),  // Anatolia
                         place(38, 23.7),    // Aegean
                         place(64.1, -22),   // the plate's rim
                         place(-33, 151),
                         place(55, 60)}) {
    EXPECT_FALSE(plate_of_place(PlateModel::kItrf2020, at).has_value());
  }
}

// kind: cross   source: the same velocity as above, 23.7 mm a year
// tolerance: 0.01 mm
TEST(PlateMotionSince, IsALengthThatGrowsBothWays) {
  const FramedPosition p = in_europe("IGS20", 2024.0);
  const double year_s = 365.25 * 86400;
  const auto after = plate_motion_since(p, p.epoch + Duration{year_s});
  const auto before = plate_motion_since(p, p.epoch - Duration{year_s});
  ASSERT_TRUE(after && before);
  EXPECT_NEAR(*after, std::hypot(0.013499, 0.016732, 0.010008), 1e-5);
  EXPECT_EQ(*after, *before);
  EXPECT_FALSE(plate_motion_since(in_europe("ETRF2000", 2024.0), p.epoch));
  FramedPosition far = p;
  far.ecef = kCalifornia;
  EXPECT_FALSE(plate_motion_since(far, p.epoch));
  EXPECT_TRUE(plate_motion_since(far, p.epoch, "NOAM"));
}

}  // namespace
}  // namespace stillpoint

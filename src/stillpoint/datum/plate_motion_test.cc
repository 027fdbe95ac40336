#include "stillpoint/datum/plate_motion.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

constexpr Ecef kDenmark{3582104.7657, 532590.1785, 5232755.139};

TEST(FindPlate, KnowsThePlatesOfEachModelByName) {
  EXPECT_EQ(plates(PlateModel::kItrf2014).size(), 11U);
  EXPECT_EQ(plates(PlateModel::kItrf2020).size(), 13U);
  EXPECT_TRUE(find_plate(PlateModel::kItrf2014, "eura"));
  EXPECT_TRUE(find_plate(PlateModel::kItrf2020, "AMUR"));
  EXPECT_FALSE(find_plate(PlateModel::kItrf2014, "AMUR"));
  EXPECT_FALSE(find_plate(PlateModel::kItrf2014, "EUR"));
  EXPECT_FALSE(find_plate(PlateModel::kItrf2014, ""));
}

TEST(RequirePlate, AnUnknownNameIsAUsageErrorThatListsThePlates) {
  const auto plate = require_plate(PlateModel::kItrf2014, "EURO");
  ASSERT_FALSE(plate.has_value());
  EXPECT_EQ(plate.error().code, ErrorCode::kUsage);
  EXPECT_NE(plate.error().what.find("'EURO'"), std::string::npos);
  EXPECT_NE(plate.error().remedy.find("EURA"), std::string::npos);
  EXPECT_NE(plate.error().remedy.find("SOMA"), std::string::npos);
  EXPECT_EQ(plate.error().remedy.find("AMUR"), std::string::npos);
}

TEST(Plate, LabelNamesModelAndPlate) {
  EXPECT_EQ(require_plate(PlateModel::kItrf2020, "noam")->label(),
            "ITRF2020 NOAM");
}

// kind: cross, a rotation keeps its distance from the axis and from the centre
// tolerance: 1e-12 m/year of 0.02, rounding
TEST(Velocity, IsPerpendicularToThePositionAndToTheAxis) {
  for (const PlateModel model :
       {PlateModel::kItrf2014, PlateModel::kItrf2020}) {
    for (const Plate& plate : plates(model)) {
      const EcefVelocity v = velocity_m_per_year(plate, kDenmark);
      const Ecef way{v.x_m_per_year, v.y_m_per_year, v.z_m_per_year};
      const auto& w = plate.omega_mas_per_year;
      EXPECT_NEAR(dot(way, kDenmark) / norm(kDenmark), 0, 1e-12);
      EXPECT_NEAR(dot(way, {w[0], w[1], w[2]}), 0, 1e-12);
      EXPECT_GT(norm(way), 0.001);
      EXPECT_LT(norm(way), 0.2);
    }
  }
}

// kind: cross, EURA moves Denmark to the north-east   tolerance: 1 mm/year,
// rough, to catch a wrong sign (the usual figures are 15-16 mm/year north, 18
// mm/year east; common practice, no source)
TEST(Velocity, EurasiaGoesNorthEast) {
  const EcefVelocity v =
      velocity_m_per_year(*find_plate(PlateModel::kItrf2014, "EURA"), kDenmark);
  const Enu enu = rotate(enu_R_ecef(to_geodetic(kDenmark)),
                         {v.x_m_per_year, v.y_m_per_year, v.z_m_per_year});
  EXPECT_NEAR(enu.n_m, 0.0155, 0.001);
  EXPECT_NEAR(enu.e_m, 0.018, 0.001);
  EXPECT_NEAR(enu.u_m, 0, 1e-4);
}

TEST(OriginRateBias, BelongsToItrf2020Alone) {
  EXPECT_EQ(origin_rate_bias_m_per_year(PlateModel::kItrf2014).x_m_per_year, 0);
  EXPECT_EQ(origin_rate_bias_m_per_year(PlateModel::kItrf2020).z_m_per_year,
            0.00074);
}

// kind: cross, ten Julian years of velocity by hand and the way back
// tolerance: 1e-8 m, rounding at 5e6 m; on the way back 2e-8 m, because the
// velocity is taken 0.2 m from the first place (0.2 m * 4e-9 rad/year * 10)
TEST(CarriedBy, MovesForwardsAndBack) {
  const Plate plate = *find_plate(PlateModel::kItrf2014, "EURA");
  FramedPosition p;
  p.ecef = kDenmark;
  p.frame = {"ITRF2014"};
  p.epoch = *parse_time("2015-01-01");
  p.covariance_m2[0] = 4e-6;
  const GnssTime later = p.epoch + Duration{3652.5 * 86400};
  const FramedPosition moved = carried_by(p, plate, later);
  const EcefVelocity v = velocity_m_per_year(plate, kDenmark);
  EXPECT_NEAR(moved.ecef.x_m - p.ecef.x_m, 10 * v.x_m_per_year, 1e-8);
  EXPECT_NEAR(moved.ecef.y_m - p.ecef.y_m, 10 * v.y_m_per_year, 1e-8);
  EXPECT_NEAR(moved.ecef.z_m - p.ecef.z_m, 10 * v.z_m_per_year, 1e-8);
  EXPECT_EQ(moved.epoch, later);
  EXPECT_EQ(moved.frame, p.frame);
  EXPECT_EQ(moved.covariance_m2, p.covariance_m2);
  EXPECT_NEAR(norm(carried_by(moved, plate, p.epoch).ecef - p.ecef), 0, 2e-8);
}

TEST(YearsBetween, CountsJulianYears) {
  EXPECT_EQ(years_between(GnssTime{}, GnssTime{} + Duration{31557600}), 1);
  // 2016 has 366 days: longer than a Julian year by 0.75 days.
  EXPECT_NEAR(
      years_between(*parse_time("2016-01-01"), *parse_time("2017-01-01")),
      366 / 365.25,
      1e-15);
}

}  // namespace
}  // namespace stillpoint

#include "stillpoint/aids/ionosphere_maps.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace stillpoint {
namespace {

constexpr double kDeg = 3.14159265358979323846 / 180;
constexpr double kHourS = 3'600;
// Values are floats of seven digits, of up to some hundred TECU.
constexpr double kFloatTecu = 2e-5;

const GnssTime kStart = GnssTime::from_gps_week(2'300, 0);

GnssTime hours(double h) {
  return kStart + Duration{h * kHourS};
}

// Latitudes 60 0 -60, longitudes -180 to 180 by 90; f(lat, lon) in degrees.
template <class F>
IonosphereMap map_of(GnssTime time, F f, double lon_step = 90) {
  IonosphereMap map{time, {}, {}};
  for (double lat = 60; lat >= -60; lat -= 60) {
    for (int k = 0; k < 5; ++k) {
      map.tec_tecu.push_back(static_cast<float>(f(lat, -180 + k * lon_step)));
    }
  }
  return map;
}

IonosphereProduct product(std::vector<IonosphereMap> maps,
                          double lon_step = 90) {
  IonosphereProduct made;
  made.source = "made";
  made.latitude = {60 * kDeg, -60 * kDeg, 3};
  made.longitude = {-180 * kDeg, lon_step * kDeg, 5};
  made.maps = std::move(maps);
  return made;
}

double wave(double lat, double lon) {
  return 20 + lat / 10 + 10 * std::cos(lon * kDeg);
}

// kind: cross (arithmetic by hand)
// tolerance: of floats
TEST(IonosphereMaps, PlacesAreBilinearAndLongitudesGoAround) {
  IonosphereMaps maps;
  ASSERT_TRUE(maps.add(product({map_of(hours(0), wave)})));
  const auto at = [&](double lat, double lon) {
    return *maps.vertical_tec(hours(0), lat * kDeg, lon * kDeg);
  };
  EXPECT_NEAR(at(60, -180), 16, kFloatTecu);
  EXPECT_NEAR(at(0, 90), 20, kFloatTecu);
  EXPECT_NEAR(at(-60, 180), 4, kFloatTecu);
  EXPECT_NEAR(at(30, 45), 23 + 5, kFloatTecu);
  EXPECT_NEAR(at(-15, -22.5), 18.5 + 7.5, kFloatTecu);
  EXPECT_NEAR(at(0, 270), at(0, -90), kFloatTecu);
  EXPECT_NEAR(at(0, 360 + 720), 30, kFloatTecu);
  EXPECT_NEAR(at(0, -181), at(0, 179), kFloatTecu);
}

// kind: cross (a map that keeps its place under the Sun stays as it is when
// read with the rotation, whatever the time)
// tolerance: of floats
TEST(IonosphereMaps, MapsAreTurnedWithTheSun) {
  const auto turned = [](double h) {
    return [h](double lat, double lon) { return wave(lat, lon + 15 * h); };
  };
  IonosphereMaps maps;
  // Six hours later the pattern stands 90 degrees, one node, further west;
  // four hours is the longest gap, so that the nodes are not those of it.
  ASSERT_TRUE(maps.add(
      product({map_of(hours(0), turned(0)), map_of(hours(4), turned(4))})));
  for (const double h : {0.0, 1.0, 2.0, 3.0, 4.0}) {
    // At the node of longitude 0 of the first map, carried along.
    const auto tec = maps.vertical_tec(hours(h), 0, -15 * h * kDeg);
    ASSERT_TRUE(tec);
    const double first = 30;
    const double lon_deg = -60;  // where the second map is read
    const double second =
        (1 - 60 / 90.0) * wave(0, 60) + 60 / 90.0 * wave(0, lon_deg - 30 + 60);
    EXPECT_NEAR(*tec, first + h / 4 * (second - first), kFloatTecu) << h;
  }
}

TEST(IonosphereMaps, NothingOutsideTimesGapsAndMissingNodes) {
  constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
  IonosphereProduct made = product({map_of(hours(0), wave),
                                    map_of(hours(4), wave),
                                    map_of(hours(8.1), wave)});
  made.latitude = {30 * kDeg, -30 * kDeg, 3};  // far from the poles
  made.maps[0].tec_tecu[7] = kNone;            // latitude 0, longitude 0
  IonosphereMaps maps;
  EXPECT_FALSE(maps.shell());
  EXPECT_FALSE(maps.first());
  ASSERT_TRUE(maps.add(made));
  EXPECT_EQ(maps.first(), hours(0));
  EXPECT_EQ(maps.last(), hours(8.1));
  EXPECT_FALSE(maps.vertical_tec(hours(-0.001), 0, 1));
  EXPECT_FALSE(maps.vertical_tec(hours(8.101), 0, 1));
  EXPECT_FALSE(maps.vertical_tec(hours(6), 0, 1));
  EXPECT_TRUE(maps.vertical_tec(hours(4), 0, 1));
  EXPECT_TRUE(maps.vertical_tec(hours(8.1), 0, 1));
  EXPECT_FALSE(maps.vertical_tec(hours(0), 0, 0));
  EXPECT_FALSE(maps.vertical_tec(hours(0), 0.1, 0.1));
  EXPECT_TRUE(maps.vertical_tec(hours(0), 0, 90 * kDeg));
  EXPECT_FALSE(maps.vertical_tec(hours(0), 31 * kDeg, 0));
  EXPECT_FALSE(maps.vertical_tec(hours(0), std::nan(""), 0));
  EXPECT_FALSE(maps.vertical_tec(hours(0), 0, HUGE_VAL));
  EXPECT_FALSE(maps.vertical_tec_rms(hours(0), 0, 1));
}

TEST(IonosphereMaps, PolesTakeTheLastRowWhereItIsLessThanAStepAway) {
  IonosphereProduct made = product({map_of(hours(0), wave)});
  made.latitude = {80 * kDeg, -80 * kDeg, 3};
  IonosphereMaps maps;
  ASSERT_TRUE(maps.add(made));
  EXPECT_EQ(maps.vertical_tec(hours(0), 90 * kDeg, 0),
            maps.vertical_tec(hours(0), 80 * kDeg, 0));
  EXPECT_EQ(maps.vertical_tec(hours(0), -85 * kDeg, 1),
            maps.vertical_tec(hours(0), -80 * kDeg, 1));
}

// kind: cross (arithmetic by hand)
// tolerance: of floats
TEST(IonosphereMaps, RegionalMapsAreNotTurnedAndEndAtTheirBorder) {
  const auto slope = [](double, double lon) { return lon; };
  IonosphereMaps maps;
  ASSERT_TRUE(maps.add(
      product({map_of(hours(0), slope, 10), map_of(hours(2), slope, 10)}, 10)));
  EXPECT_NEAR(
      *maps.vertical_tec(hours(1), 0, -163 * kDeg), -163, 20 * kFloatTecu);
  EXPECT_NEAR(
      *maps.vertical_tec(hours(1), 0, 180 * kDeg), -180, 20 * kFloatTecu);
  EXPECT_NEAR(
      *maps.vertical_tec(hours(1), 0, -140 * kDeg), -140, 20 * kFloatTecu);
  EXPECT_FALSE(maps.vertical_tec(hours(1), 0, -139 * kDeg));
  EXPECT_FALSE(maps.vertical_tec(hours(1), 0, 179 * kDeg));
}

// kind: cross (arithmetic by hand)
// tolerance: of floats
TEST(IonosphereMaps, ProductsJoinInTimeAndTheFirstAnswers) {
  const auto flat = [](double value) {
    return [value](double, double) { return value; };
  };
  IonosphereMaps maps;
  ASSERT_TRUE(maps.add(
      product({map_of(hours(0), flat(1)), map_of(hours(2), flat(1))})));
  ASSERT_TRUE(maps.add(
      product({map_of(hours(1), flat(5)), map_of(hours(2), flat(5))})));
  ASSERT_TRUE(maps.add(product({map_of(hours(4), flat(3))})));
  EXPECT_NEAR(*maps.vertical_tec(hours(1.5), 0, 0), 1, kFloatTecu);
  EXPECT_NEAR(*maps.vertical_tec(hours(3), 0, 0), 2, kFloatTecu);
}

TEST(IonosphereMaps, ProductsThatCannotBeUsedAreRefused) {
  IonosphereMaps maps;
  EXPECT_EQ(maps.add(product({})).error().code, ErrorCode::kNoData);
  IonosphereProduct cut = product({map_of(hours(0), wave)});
  cut.maps[0].tec_tecu.pop_back();
  EXPECT_EQ(maps.add(cut).error().code, ErrorCode::kBadFormat);
  EXPECT_EQ(maps.add(product({map_of(hours(1), wave), map_of(hours(1), wave)}))
                .error()
                .code,
            ErrorCode::kBadFormat);
  IonosphereProduct still = product({map_of(hours(0), wave)});
  still.longitude.step_rad = 0;
  EXPECT_EQ(maps.add(still).error().code, ErrorCode::kBadFormat);
  ASSERT_TRUE(maps.add(product({map_of(hours(0), wave)})));
  IonosphereProduct high = product({map_of(hours(0), wave)});
  high.shell.height_m = 350'000;
  EXPECT_EQ(maps.add(high).error().code, ErrorCode::kMixedInput);
  EXPECT_EQ(maps.shell()->height_m, 450'000);
}

}  // namespace
}  // namespace stillpoint

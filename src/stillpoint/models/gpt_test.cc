#include "stillpoint/models/gpt.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kDeg = std::numbers::pi / 180;
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

TEST(Gpt, GivesWeatherOfThisEarthEverywhere) {
  for (int lat = -90; lat <= 90; lat += 10) {
    for (int lon = -180; lon <= 180; lon += 30) {
      for (int month = 1; month <= 12; month += 3) {
        const auto t =
            from_calendar({2024, month, 15, 0, 0, 0}, TimeScale::kUtc);
        const auto w = gpt({lat * kDeg, lon * kDeg, 0}, *t);
        ASSERT_TRUE(w);
        EXPECT_TRUE(w->pressure_hpa > 920 && w->pressure_hpa < 1060)
            << lat << " " << lon << " " << w->pressure_hpa;
        EXPECT_TRUE(w->temperature_c > -75 && w->temperature_c < 50)
            << lat << " " << lon << " " << w->temperature_c;
        EXPECT_LT(std::abs(w->undulation_m), 110);
      }
    }
  }
}

// kind: cross   source: hydrostatic equation, dp/dh = -p g M / (R T) with
// g 9.80 m/s^2, M 0.02896 kg/mol, R 8.314 J/(mol K)
// tolerance: 3 % of the gradient: the height law has its own temperature
TEST(Gpt, PressureFallsAsTheAirAboveWeighs) {
  const GnssTime t = GnssTime::from_gps_week(2311, 0);
  const auto low = gpt({0.8, 0.2, 400}, t);
  const auto high = gpt({0.8, 0.2, 600}, t);
  const double per_m = 9.80 * 0.02896 / (8.314 * (273.15 + 15));
  const double middle = (low->pressure_hpa + high->pressure_hpa) / 2;
  EXPECT_NEAR((low->pressure_hpa - high->pressure_hpa) / 200,
              middle * per_m,
              0.03 * middle * per_m);
}

TEST(Gpt, RefusesPlacesWhereThereIsNoStation) {
  const GnssTime t = GnssTime::from_gps_week(2311, 0);
  for (const Geodetic& bad : {Geodetic{0, 0, -501},
                              Geodetic{0, 0, 9001},
                              Geodetic{0, 0, kNan},
                              Geodetic{kNan, 0, 0},
                              Geodetic{0, kNan, 0},
                              Geodetic{1.6, 0, 0}}) {
    const auto w = gpt(bad, t);
    ASSERT_FALSE(w);
    EXPECT_EQ(w.error().code, ErrorCode::kOutOfRange);
  }
  EXPECT_TRUE(gpt({0, 0, -500}, t));
  EXPECT_TRUE(gpt({0, 0, 9000}, t));
}

}  // namespace
}  // namespace stillpoint::models

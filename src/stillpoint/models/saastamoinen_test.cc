#include "stillpoint/models/saastamoinen.h"

#include <gtest/gtest.h>

namespace stillpoint::models {
namespace {

// kind: published   source: tables of saturation vapour pressure over water,
// 23.4 hPa at 20 deg C, 6.11 hPa at 0 deg C; from memory
// tolerance: 0.4 %, the approximation's own error
TEST(VapourPressure, MeetsTheTableOfSaturation) {
  EXPECT_NEAR(vapour_pressure_hpa(20, 1), 23.4, 0.09);
  EXPECT_NEAR(vapour_pressure_hpa(0, 1), 6.11, 0.02);
  EXPECT_DOUBLE_EQ(vapour_pressure_hpa(20, 0.5) * 2,
                   vapour_pressure_hpa(20, 1));
}

TEST(VapourPressure, StaysFiniteForNonsense) {
  EXPECT_GE(vapour_pressure_hpa(-300, 0.5), 0);
  EXPECT_EQ(vapour_pressure_hpa(20, 7), vapour_pressure_hpa(20, 1));
  EXPECT_EQ(vapour_pressure_hpa(20, -1), 0);
}

// kind: cross   source: rule of thumb, one centimetre of zenith delay per hPa
// of vapour pressure near the ground; common practice, no source
// tolerance: 5 % of it
TEST(ZenithWet, IsAboutACentimetrePerHectopascal) {
  EXPECT_NEAR(zenith_wet_m(15, 10), 0.10, 0.005);
  EXPECT_EQ(zenith_wet_m(15, 0), 0);
}

}  // namespace
}  // namespace stillpoint::models

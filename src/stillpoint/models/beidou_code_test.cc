#include "stillpoint/models/beidou_code.h"

#include <gtest/gtest.h>

#include <numbers>

namespace stillpoint::models {
namespace {

constexpr double kDeg = std::numbers::pi / 180;
constexpr SatId kInclined{System::kBeidou, 8};
constexpr SatId kMedium{System::kBeidou, 12};

// kind: published   source: Wanninger & Beer 2015, doi:10.1007/s10291-014-
// 0423-3, table of corrections (values from memory); exact at the nodes.
TEST(BeidouCode, MeetsTheTableAtItsNodes) {
  EXPECT_DOUBLE_EQ(beidou_code_correction_m(kInclined, '2', 0), -0.55);
  EXPECT_NEAR(beidou_code_correction_m(kInclined, '6', 90 * kDeg), 0.32, 1e-12);
  EXPECT_NEAR(beidou_code_correction_m(kMedium, '2', 80 * kDeg), 0.97, 1e-12);
  EXPECT_NEAR(beidou_code_correction_m(kMedium, '7', 30 * kDeg), -0.18, 1e-12);
}

// kind: cross   linear between nodes, constant beyond them.
TEST(BeidouCode, IsLinearBetweenNodesAndClampedBeyond) {
  EXPECT_NEAR(beidou_code_correction_m(kMedium, '6', 45 * kDeg), 0.005, 1e-12);
  EXPECT_DOUBLE_EQ(beidou_code_correction_m(kMedium, '6', -1), -0.22);
  EXPECT_DOUBLE_EQ(beidou_code_correction_m(kMedium, '6', 9), 0.47);
}

TEST(BeidouCode, IsZeroForOtherSatellitesAndBands) {
  EXPECT_EQ(beidou_code_correction_m({System::kBeidou, 5}, '2', 1), 0);
  EXPECT_EQ(beidou_code_correction_m({System::kBeidou, 23}, '2', 1), 0);
  EXPECT_EQ(beidou_code_correction_m({System::kGps, 8}, '2', 1), 0);
  EXPECT_EQ(beidou_code_correction_m(kInclined, '1', 1), 0);
}

}  // namespace
}  // namespace stillpoint::models

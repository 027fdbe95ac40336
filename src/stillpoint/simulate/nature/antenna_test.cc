#include "stillpoint/simulate/nature/antenna.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// kind: published   source: ANTEX 1.4, sign of the offset: projected on the
// line of sight it shortens the range (shared checks section 7, from memory)
// tolerance: 1e-12 m, the definition
TEST(AntennaRange, IsShortenedByTheOffsetAndLengthenedByTheVariation) {
  AntennaBand band;
  band.offset_m = {0.003, -0.002, 0.080};
  EXPECT_NEAR(antenna_range_m(band, {0, 90 * kDeg}), -0.080, 1e-12);
  EXPECT_NEAR(antenna_range_m(band, {90 * kDeg, 0}), -0.003, 1e-12);
  EXPECT_NEAR(antenna_range_m(band, {0, 0}), 0.002, 1e-12);
  EXPECT_NEAR(antenna_range_m(band, {90 * kDeg, 30 * kDeg}),
              -0.080 * 0.5 - 0.003 * std::sqrt(0.75),
              1e-12);
  band.zenith_m = {0.001, 0, 0, 0};
  EXPECT_NEAR(antenna_range_m(band, {0, 0}), 0.002 + 0.001, 1e-12);
}

// kind: cross
// tolerance: 1e-12 m, by hand at zenith angle 60 deg, azimuth 90 deg: (1 - cos
// 60) 1 mm + (1 - cos 120) 2 mm + sin^2 60 (cos 90, sin 90, cos 180)
TEST(PhaseVariation, IsTheClosedFormWorkedByHand) {
  AntennaBand band;
  band.zenith_m = {0.001, 0.002, 0, 0};
  band.azimuth = {{{0.004, 0.0005}, {0.0003, 0.007}, {0, 0}}};
  const double expected = 0.0005 + 0.003 + 0.75 * (0.0005 - 0.0003);
  EXPECT_NEAR(phase_variation_m(band, {90 * kDeg, 30 * kDeg}), expected, 1e-12);
}

// kind: cross
// tolerance: 1e-15 m: the variation is nothing at the zenith by definition, and
// the grid holds the closed form
TEST(AntennaGrid, HoldsTheClosedForm) {
  const AntennaBand band = demo_antenna().bands[3];
  const AntennaGrid grid = sample_grid(band);
  EXPECT_NEAR(grid.mean_m[0], 0, 1e-15);
  EXPECT_NEAR(grid.by_azimuth_m[10][4],
              phase_variation_m(band, {50 * kDeg, 70 * kDeg}),
              1e-15);
  for (std::size_t z = 0; z < grid.mean_m.size(); ++z) {
    EXPECT_NEAR(
        grid.by_azimuth_m.front()[z], grid.by_azimuth_m.back()[z], 1e-15);
  }
}

// kind: cross
// tolerance: 1e-15 m: azimuth terms vanish in the mean over a full circle
TEST(AntennaGrid, MeanIsTheZenithPart) {
  AntennaBand band = demo_antenna().bands[0];
  const AntennaGrid with = sample_grid(band);
  band.azimuth = {};
  for (std::size_t z = 0; z < with.mean_m.size(); ++z) {
    const double elev = (90 - 5.0 * static_cast<double>(z)) * kDeg;
    EXPECT_NEAR(with.mean_m[z], phase_variation_m(band, {1, elev}), 1e-15);
  }
}

// kind: cross
// tolerance: 0.1 mm. A reader of the file interpolates between the samples;
// what that costs is part of the simulated world's truth.
TEST(AntennaGrid, IsFineEnoughForLinesBetweenItsPoints) {
  for (const AntennaBand& band : demo_antenna().bands) {
    const AntennaGrid grid = sample_grid(band);
    double worst = 0;
    for (std::size_t a = 0; a + 1 < grid.by_azimuth_m.size(); ++a) {
      for (std::size_t z = 0; z + 1 < grid.mean_m.size(); ++z) {
        const double middle =
            0.25 *
            (grid.by_azimuth_m[a][z] + grid.by_azimuth_m[a + 1][z] +
             grid.by_azimuth_m[a][z + 1] + grid.by_azimuth_m[a + 1][z + 1]);
        const double az = 5 * (static_cast<double>(a) + 0.5) * kDeg;
        const double elev = (90 - 5 * (static_cast<double>(z) + 0.5)) * kDeg;
        const double exact = phase_variation_m(band, {az, elev});
        worst = std::fmax(worst, std::abs(middle - exact));
      }
    }
    EXPECT_LT(worst, 1e-4) << band.frequency_hz;
  }
}

TEST(DemoAntenna, HasOffsetsAndVariationsOfUsualSize) {
  const ReceiverAntenna antenna = demo_antenna();
  for (const AntennaBand& band : antenna.bands) {
    EXPECT_GT(band.offset_m.u_m, 0.05);
    EXPECT_LT(band.offset_m.u_m, 0.09);
    double worst = 0;
    for (int el = 0; el <= 90; el += 5) {
      for (int az = 0; az < 360; az += 15) {
        const double v = phase_variation_m(band, {az * kDeg, el * kDeg});
        worst = std::fmax(worst, std::abs(v));
      }
    }
    EXPECT_GT(worst, 0.002);
    EXPECT_LT(worst, 0.015);
  }
  EXPECT_EQ(&band_of(antenna, 1602e6), &antenna.bands[3]);
  EXPECT_EQ(&band_of(antenna, 1246e6), &antenna.bands[1]);
  EXPECT_EQ(&band_of(antenna, 1207.14e6), &antenna.bands[1]);
  EXPECT_EQ(&band_of(antenna, 1176.45e6), &antenna.bands[0]);
}

}  // namespace
}  // namespace stillpoint::simulate

#include "stillpoint/plot/sky_map.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/plot/well_formed.h"

namespace stillpoint::plot {
namespace {

constexpr double kPi = std::numbers::pi;

TEST(SkyPlace, NorthIsUpAndEastAtTheRight) {
  const Xy north = sky_place(0, 0), east = sky_place(kPi / 2, kPi / 6);
  const Xy zenith = sky_place(1, kPi / 2);
  // kind: published; source: common practice, no source: north up, east right
  // as on a map, radius falling evenly from horizon to zenith; tolerance: a
  // few roundings of doubles of size 1.
  EXPECT_NEAR(north.x, 0, 1e-15);
  EXPECT_NEAR(north.y, -1, 1e-15);
  EXPECT_NEAR(east.x, 2.0 / 3, 1e-15);
  EXPECT_NEAR(east.y, 0, 1e-15);
  EXPECT_NEAR(zenith.x, 0, 1e-15);
}

TEST(SkyPatches, TileTheSkyOnce) {
  std::vector<SkySample> samples;
  for (int e = 0; e <= 90; ++e) {
    for (int a = 0; a < 360; ++a) {
      samples.push_back({a * kPi / 180, e * kPi / 180, 1});
    }
  }
  const auto patches = sky_patches(samples);
  double area = 0;
  int count = 0;
  for (const SkyPatch& p : patches) {
    area += (p.azimuth_to_rad - p.azimuth_from_rad) *
            (std::sin(p.elevation_to_rad) - std::sin(p.elevation_from_rad));
    count += p.count;
    EXPECT_EQ(p.mean, 1);
  }
  EXPECT_EQ(count, static_cast<int>(samples.size()));
  // kind: cross; source: the area of half a unit sphere is 2 pi; tolerance:
  // rounding of some 200 sums of size 6.
  EXPECT_NEAR(area, 2 * kPi, 1e-12);
}

TEST(SkyPatches, AveragesWhatLiesInsideAndLeavesOutTheRest) {
  const std::vector<SkySample> samples{{0.1, 0.1, 3},
                                       {0.1 + 2 * kPi, 0.1, 5},
                                       {0.1 - 2 * kPi, 0.1, 7},
                                       {0.1, -0.01, 100},
                                       {0.1, 0.1, std::nan("")},
                                       {std::nan(""), 0.1, 1},
                                       {0.1, kPi / 2, -2}};
  const auto patches = sky_patches(samples);
  ASSERT_EQ(patches.size(), 2U);
  EXPECT_EQ(patches[0].mean, 5);
  EXPECT_EQ(patches[0].count, 3);
  EXPECT_LE(patches[0].azimuth_from_rad, 0.1);
  EXPECT_GE(patches[0].azimuth_to_rad, 0.1);
  EXPECT_EQ(patches[1].mean, -2);
  EXPECT_EQ(patches[1].elevation_to_rad, kPi / 2);
}

TEST(SkyMap, ColoursSignsAndScale) {
  std::vector<SkyPatch> patches{{0, kPi / 2, 0, kPi / 4, 9, 10},
                                {kPi, 3 * kPi / 2, 0, kPi / 4, -9, 10},
                                {kPi / 2, kPi, 0, kPi / 4, 1, 10},
                                {0, 1, 1, 1.2, 9, 1}};
  const std::string svg = sky_map({"s", "Sky", "Bright in the north-east."},
                                  {10, "10", "mean, mm", 5},
                                  patches);
  // From north along the horizon to east, in to half the radius, and back.
  EXPECT_NE(svg.find("<g class=\"v8\"><path class=\"fill\" d=\"M0 -200A200 200 "
                     "0 0 1 200 0L100 0A100 100 0 0 0 0 -100z\"/></g>"
                     "<path class=\"sign\" d=\"M102.1 -106.1h8m-4-4v8\"/>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("<g class=\"v0\">"), std::string::npos);
  EXPECT_NE(svg.find("<g class=\"v4\">"), std::string::npos);
  std::size_t drawn = 0;
  for (auto at = svg.find("<g class=\"v"); at != std::string::npos;
       at = svg.find("<g class=\"v", at + 1)) {
    ++drawn;
  }
  EXPECT_EQ(drawn, 3U) << "the patch with one sample is left out";
  EXPECT_NE(svg.find(">+10</text>"), std::string::npos);
  EXPECT_EQ(xml_complaint(svg), "");
}

}  // namespace
}  // namespace stillpoint::plot

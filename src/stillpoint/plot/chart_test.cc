#include "stillpoint/plot/chart.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/plot/rows.h"
#include "stillpoint/plot/well_formed.h"

namespace stillpoint::plot {
namespace {

// The plot is 546 px wide (frame.h) and here 100 high: 54.6 px for a unit of
// x, 10 px for one of y.
Chart chart() {
  return Chart({"c", "Title", "A sentence."},
               {.label = "hours", .low = 0, .high = 10, .origin = std::nullopt},
               {.label = "mm", .low = -5, .high = 5, .origin = std::nullopt},
               100);
}

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != std::string::npos;
}

TEST(Chart, DrawsLinesBandsAndStepsWhereTheyBelong) {
  Chart c = chart();
  const std::vector<Xy> line{{0, 0}, {5, 5}, {10, -5}};
  const std::vector<BandPoint> band{{0, -1, 1}, {10, -2, 2}};
  const std::vector<StepPoint> steps{{0, 5, 1}, {5, 7, 2}, {8, 10, 3}};
  c.level(0);
  c.band(band, Series::kFirst, "sigma");
  c.line(line, Series::kSecond, "answer");
  c.steps(steps, Series::kThird);
  const std::string svg = c.svg();
  EXPECT_TRUE(has(svg, "<path class=\"axis\" d=\"M0 50L546 50\"/>")) << svg;
  EXPECT_TRUE(has(svg,
                  "<g class=\"ba\"><path class=\"fill\" "
                  "d=\"M0 40L546 30L546 70L0 60z\"/></g>"))
      << svg;
  EXPECT_TRUE(has(svg, "<path class=\"lb\" d=\"M0 50L273 0L546 100\"/>"))
      << svg;
  EXPECT_TRUE(has(svg, "d=\"M0 40H273L273 30H382.2M436.8 20H546\"/>")) << svg;
  EXPECT_TRUE(has(svg, ">sigma</text>"));
  EXPECT_TRUE(has(svg, ">answer</text>"));
  EXPECT_EQ(xml_complaint(svg), "");
  EXPECT_EQ(svg, c.svg());
  EXPECT_EQ(c.outside(), 0);
}

TEST(Chart, ValuesBeyondTheAxisAreShownAtTheEdgeAndCounted) {
  Chart c = chart();
  const std::vector<Xy> points{{1, 6}, {1.01, 7}, {2, -60}, {3, 1}, {11, 1}};
  c.points(points, Series::kFirst);
  EXPECT_EQ(c.outside(), 3);
  const std::string svg = c.svg();
  // Columns of 8 px: 54.6 and 55.1 in the seventh, 109.2 in the 14th.
  EXPECT_TRUE(has(svg, "d=\"M52 0l4 7h-8z\"")) << svg;
  EXPECT_TRUE(has(svg, "d=\"M108 100l4 -7h-8z\"")) << svg;
  EXPECT_TRUE(has(svg, "<path class=\"da\" d=\"M163.8 40h0\"/>")) << svg;
}

TEST(Chart, WhatIsNoNumberBreaksLinesAndIsLeftOut) {
  Chart c = chart();
  const double nan = std::nan("");
  const std::vector<Xy> line{{0, 0}, {1, 0}, {2, nan}, {3, 0}, {4, INFINITY}};
  const std::vector<BandPoint> band{{0, nan, 1}};
  const std::vector<StepPoint> steps{{0, 5, nan}};
  c.line(line, Series::kFirst);
  c.points(line, Series::kFirst);
  c.crosses(line);
  c.band(band, Series::kFirst);
  c.steps(steps, Series::kSecond);
  const std::string svg = c.svg();
  EXPECT_TRUE(has(svg, "<path class=\"la\" d=\"M0 50L54.6 50M163.8 50\"/>"))
      << svg;
  EXPECT_FALSE(has(svg, "nan"));
  EXPECT_FALSE(has(svg, "inf"));
}

TEST(Chart, HostileWordsStayWords) {
  Chart c({"c", "</title><script>", "\"><script>"},
          {.label = "<x>", .low = 0, .high = 1, .origin = std::nullopt},
          {.label = "a & b", .low = 0, .high = 1, .origin = std::nullopt});
  const std::vector<Xy> line{{0, 0}, {1, 1}};
  c.line(line, Series::kFirst, "<svg onload='x'>");
  const std::string svg = c.svg();
  EXPECT_FALSE(has(svg, "<script"));
  EXPECT_FALSE(has(svg, "<svg onload"));
  EXPECT_EQ(xml_complaint(svg), "");
}

TEST(RowChart, SharesOneScaleAndShowsWhatGoesBeyondIt) {
  const Axis x{.label = "x", .low = 0, .high = 10, .origin = std::nullopt};
  std::vector<Row> rows(2);
  rows[0] = {"G01", "1.5", {{0, 0}, {10, 2}}, {{5, -2}}};
  rows[1] = {"G<2", "9", {{5, 99}}, {}};
  const std::string svg =
      row_chart({"r", "Rows", "Two rows."}, x, {2, "each row", "RMS"}, rows);
  // 512 px wide, 28 px high: zero is in the middle.
  EXPECT_TRUE(has(svg, "<path class=\"da\" d=\"M0 14h0M512 0h0\"/>")) << svg;
  EXPECT_TRUE(has(svg, "class=\"mark\"")) << svg;
  EXPECT_TRUE(has(svg, "d=\"M260 0l3 5h-6z\"")) << svg;
  EXPECT_TRUE(has(svg, ">G&lt;2</text>"));
  EXPECT_EQ(xml_complaint(svg), "");
}

}  // namespace
}  // namespace stillpoint::plot

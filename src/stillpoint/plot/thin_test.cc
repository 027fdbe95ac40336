#include "stillpoint/plot/thin.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace stillpoint::plot {
namespace {

constexpr double kWide = 500, kHigh = 200;

// 100 000 points in a broad wave, and one alone at the top and the bottom.
std::vector<Xy> many() {
  std::vector<Xy> out;
  unsigned state = 1;
  for (int i = 0; i < 100'000; ++i) {
    state = state * 1'664'525U + 1'013'904'223U;
    const double noise = static_cast<double>(state >> 8U) / 16'777'216.0 - 0.5;
    const double x = kWide * i / 100'000;
    out.push_back({x, 100 + 30 * std::sin(x / 40) + 60 * noise});
  }
  out.push_back({123.4, 0.5});
  out.push_back({321.0, kHigh});
  return out;
}

bool has_point_in(const Cells& cells, const Xy& p) {
  return std::ranges::any_of(cells.cells, [&](const Cell& c) {
    return std::abs((c.column + 0.5) * cells.side_px - p.x) <= cells.side_px &&
           std::abs((c.row + 0.5) * cells.side_px - p.y) <= cells.side_px;
  });
}

TEST(CountInCells, KeepsEveryPointInSightWithinTheBound) {
  const auto points = many();
  for (const std::size_t most : {1U, 7U, 300U}) {
    const Cells cells = count_in_cells(points, kWide, kHigh, most);
    EXPECT_LE(cells.cells.size(), most);
    int sum = 0;
    for (const Cell& c : cells.cells) {
      EXPECT_GE(c.count, 1);
      sum += c.count;
    }
    EXPECT_EQ(sum, static_cast<int>(points.size())) << "none lost";
    for (std::size_t i = 0; i < points.size(); i += 50) {
      EXPECT_TRUE(has_point_in(cells, points[i])) << i;
    }
  }
}

TEST(CountInCells, LonelyExtremesStayAtAnyBound) {
  const auto points = many();
  for (const std::size_t most : {400U, 3000U, 20'000U}) {
    const Cells cells = count_in_cells(points, kWide, kHigh, most);
    EXPECT_TRUE(has_point_in(cells, {123.4, 0.5}));
    EXPECT_TRUE(has_point_in(cells, {321.0, kHigh}));
    EXPECT_LE(cells.cells.size(), most);
  }
  EXPECT_EQ(count_in_cells(points, kWide, kHigh, 100'000).side_px, 2);
}

TEST(PutPoints, FewAreDrawnWhereTheyAreManyAsCells) {
  std::string few;
  const std::vector<Xy> two{{1.25, 2}, {30, 4.5}};
  put_points(few, two, kWide, kHigh, Series::kSecond, 10);
  EXPECT_EQ(few, "<path class=\"db\" d=\"M1.3 2h0M30 4.5h0\"/>\n");

  // 301 points: 299 in one cell, one beside it, one two rows below.
  std::vector<Xy> heap(299, Xy{3, 1});
  heap.push_back({5, 1});
  heap.push_back({5, 5});
  std::string cells;
  put_points(cells, heap, kWide, kHigh, Series::kFirst, 10);
  EXPECT_EQ(cells,
            "<g class=\"pa\" transform=\"scale(2) translate(0 .5)\">"
            "<path class=\"q1\" d=\"M2 0h1M2 2h1\"/>"
            "<path class=\"q4\" d=\"M1 0h1\"/></g>\n");
}

TEST(PutPoints, SizeIsBoundedByTheCells) {
  const auto points = many();
  std::string out;
  put_points(out, points, kWide, kHigh, Series::kFirst, 5000);
  // "M250 100h99" a cell at worst, and 300 bytes around them.
  EXPECT_LT(out.size(), 5000U * 11 + 300);
}

TEST(PutCrosses, OneForACell) {
  std::string out;
  const std::vector<Xy> points(50, Xy{7, 7});
  put_crosses(out, points, kWide, kHigh, 10);
  EXPECT_EQ(out, "<path class=\"mark\" d=\"M6.5 6.5l5 5m0-5l-5 5\"/>\n");
}

TEST(ThinLine, KeepsEndsAndPeaksOfEveryColumn) {
  std::vector<Xy> line;
  line.reserve(40'000);
  for (int i = 0; i < 40'000; ++i) {
    line.push_back({i / 100.0, i % 7 == 3 ? -1.0 : 0.0});
  }
  line[17'777].y = 99;
  const auto thin = thin_line(line);
  EXPECT_LE(thin.size(), 400U * 4);
  const auto highest = std::ranges::max_element(thin, {}, &Xy::y);
  EXPECT_EQ(highest->y, 99);
  EXPECT_EQ(highest->x, 177.77);
  EXPECT_EQ(thin.back().x, line.back().x);
  EXPECT_TRUE(std::ranges::is_sorted(thin, {}, &Xy::x));
  const std::vector<Xy> four(line.begin(), line.begin() + 4);
  EXPECT_EQ(thin_line(four).size(), 4U);
}

}  // namespace
}  // namespace stillpoint::plot

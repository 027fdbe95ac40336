#include "stillpoint/plot/thin.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <tuple>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/plot/markup.h"

namespace stillpoint::plot {
namespace {

constexpr int kLevels = 4;

// The last cell also takes the points on the far edge.
int cell_of(double at, double extent, int side) {
  const auto cells = std::max(1, static_cast<int>(std::ceil(extent / side)));
  return std::clamp(static_cast<int>(std::floor(at / side)), 0, cells - 1);
}

std::vector<Cell> count(std::span<const Xy> points,
                        double width,
                        double height,
                        int side) {
  std::vector<std::pair<int, int>> places;
  places.reserve(points.size());
  for (const Xy& p : points) {
    places.emplace_back(cell_of(p.y, height, side), cell_of(p.x, width, side));
  }
  std::ranges::sort(places);
  std::vector<Cell> cells;
  for (const auto& [row, column] : places) {
    if (cells.empty() || cells.back().row != row ||
        cells.back().column != column) {
      cells.push_back({row, column, 0});
    }
    ++cells.back().count;
  }
  return cells;
}

Cells count_from(std::span<const Xy> points,
                 double width,
                 double height,
                 std::size_t most,
                 int side) {
  STILLPOINT_CHECK(width > 0 && height > 0 && most >= 1);
  Cells out{.side_px = side, .cells = count(points, width, height, side)};
  while (out.cells.size() > most) {
    out.side_px += std::max(1, out.side_px / 4);
    out.cells = count(points, width, height, out.side_px);
  }
  return out;
}

// Neighbours of one level in a row are one stroke, in units of cells.
std::array<std::string, kLevels> strokes_by_level(const Cells& cells) {
  std::array<std::string, kLevels> out;
  for (std::size_t i = 0; i < cells.cells.size();) {
    const Cell& begin = cells.cells[i];
    const int level = count_level(begin.count);
    int length = 0;
    while (i < cells.cells.size() && cells.cells[i].row == begin.row &&
           cells.cells[i].column == begin.column + length &&
           count_level(cells.cells[i].count) == level) {
      ++length;
      ++i;
    }
    fmt::format_to(std::back_inserter(out[static_cast<std::size_t>(level) - 1]),
                   "M{} {}h{}",
                   begin.column,
                   begin.row,
                   length);
  }
  return out;
}

// Ends a column of thin_line().
void keep(std::vector<Xy>& out, std::span<const Xy> column) {
  if (column.size() <= 4) {
    out.insert(out.end(), column.begin(), column.end());
    return;
  }
  const auto [low, high] = std::ranges::minmax_element(
      column, [](const Xy& a, const Xy& b) { return a.y < b.y; });
  std::array<std::ptrdiff_t, 4> order{
      0,
      low - column.begin(),
      high - column.begin(),
      static_cast<std::ptrdiff_t>(column.size()) - 1};
  std::ranges::sort(order);
  const auto end = std::unique(order.begin(), order.end());
  for (auto it = order.begin(); it != end; ++it) {
    out.push_back(column[static_cast<std::size_t>(*it)]);
  }
}

}  // namespace

int count_level(int count) {
  return count <= 1 ? 1 : count <= 4 ? 2 : count <= 16 ? 3 : kLevels;
}

Cells count_in_cells(std::span<const Xy> points,
                     double width,
                     double height,
                     std::size_t most) {
  return count_from(points, width, height, most, 2);
}

void put_points(std::string& out,
                std::span<const Xy> points,
                double width,
                double height,
                Series series,
                std::size_t most_cells) {
  if (points.empty()) {
    return;
  }
  const char letter = series_letter(series);
  if (points.size() <= kSinglePoints) {
    fmt::format_to(std::back_inserter(out), "<path class=\"d{}\" d=\"", letter);
    for (const Xy& p : points) {
      fmt::format_to(std::back_inserter(out), "M{} {}h0", px(p.x), px(p.y));
    }
    out += "\"/>\n";
    return;
  }
  const Cells cells = count_in_cells(points, width, height, most_cells);
  const auto levels = strokes_by_level(cells);
  // Strokes run through the middles of their rows.
  fmt::format_to(std::back_inserter(out),
                 "<g class=\"p{}\" transform=\"scale({}) translate(0 .5)\">",
                 letter,
                 cells.side_px);
  for (std::size_t level = 0; level < levels.size(); ++level) {
    if (!levels[level].empty()) {
      fmt::format_to(std::back_inserter(out),
                     "<path class=\"q{}\" d=\"{}\"/>",
                     level + 1,
                     levels[level]);
    }
  }
  out += "</g>\n";
}

void put_crosses(std::string& out,
                 std::span<const Xy> points,
                 double width,
                 double height,
                 std::size_t most) {
  if (points.empty()) {
    return;
  }
  const Cells cells = count_from(points, width, height, most, 6);
  out += "<path class=\"mark\" d=\"";
  for (const Cell& cell : cells.cells) {
    fmt::format_to(
        std::back_inserter(out),
        "M{} {}l5 5m0-5l-5 5",
        px(std::min((cell.column + 0.5) * cells.side_px, width) - 2.5),
        px(std::min((cell.row + 0.5) * cells.side_px, height) - 2.5));
  }
  out += "\"/>\n";
}

std::vector<Xy> thin_line(std::span<const Xy> points) {
  std::vector<Xy> out;
  for (std::size_t begin = 0; begin < points.size();) {
    std::size_t end = begin;
    while (end < points.size() &&
           std::floor(points[end].x) == std::floor(points[begin].x)) {
      ++end;
    }
    keep(out, points.subspan(begin, end - begin));
    begin = end;
  }
  return out;
}

}  // namespace stillpoint::plot

// Many points in a picture of bounded size, without hiding any: points are
// counted in square cells, and every cell that has a point is drawn.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "stillpoint/plot/style.h"

namespace stillpoint::plot {

struct Xy {
  double x = 0, y = 0;
};

struct Cell {
  int row = 0, column = 0, count = 0;
};

// Ascending by row, then column; every count is at least 1.
struct Cells {
  int side_px = 2;
  std::vector<Cell> cells;
};

// Counts points in cells of 2 px and more: of the first size that needs no
// more than `most` cells. The lowest, highest, first and last points stay in
// sight to within a cell.
//
//   points         [px] inside 0 .. width and 0 .. height
//   width, height  [px] > 0
//   most           >= 1
//   accuracy       a point is drawn less than side_px from where it is
Cells count_in_cells(std::span<const Xy> points,
                     double width,
                     double height,
                     std::size_t most);

// How dark a cell is drawn: 1 for one point, 2 up to 4, 3 up to 16, 4 above.
int count_level(int count);

// Points as a layer of SVG: each for itself while they are few (at most
// kSinglePoints), else as cells.
inline constexpr std::size_t kSinglePoints = 300;
void put_points(std::string& out,
                std::span<const Xy> points,
                double width,
                double height,
                Series series,
                std::size_t most_cells);

// Crosses of 5 px, one for all points of a cell of 6 px and more.
void put_crosses(std::string& out,
                 std::span<const Xy> points,
                 double width,
                 double height,
                 std::size_t most);

// A line that looks the same with fewer points: of each pixel column the
// first, the lowest, the highest and the last point are kept, in order.
//
//   points  [px] ascending in x
//   returns all of them where they are at most 4 a column
std::vector<Xy> thin_line(std::span<const Xy> points);

}  // namespace stillpoint::plot

// A chart with two axes: bands, lines, steps, points and crosses over a grid.
#pragma once

#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/plot/markup.h"
#include "stillpoint/plot/scale.h"
#include "stillpoint/plot/style.h"
#include "stillpoint/plot/thin.h"

namespace stillpoint::plot {

struct BandPoint {
  double x = 0, low = 0, high = 0;
};

// A value that holds over a range of x.
struct StepPoint {
  double from = 0, to = 0, y = 0;
};

// What stands above the plot: a sample and its words.
struct LegendItem {
  std::string kind;  // class: "la" line, "ba" band, "da" points, "mark"
  std::string words;
};

// Draws what it is given in the order of the calls; svg() hands the picture
// out. Values that are not finite are left out and break lines. Where a point
// lies above or below the axis, an arrowhead at the edge shows the column, and
// outside() counts it: a description should say so.
//
//   x of lines and bands  ascending
//   legend                empty: not in the legend
//   size                  bounded: points by most_cells (about 8 bytes each),
//                         lines and bands by the width of the plot
class Chart {
 public:
  // height: of the plot without titles and labels [px].
  Chart(Caption caption, Axis x, Axis y, double height = 200);

  void band(std::span<const BandPoint> points,
            Series series,
            std::string_view legend = {});
  void line(std::span<const Xy> points,
            Series series,
            std::string_view legend = {});
  void steps(std::span<const StepPoint> points,
             Series series,
             std::string_view legend = {});
  void points(std::span<const Xy> points,
              Series series,
              std::string_view legend = {},
              std::size_t most_cells = 5000);
  void crosses(std::span<const Xy> points,
               std::string_view legend = {},
               std::size_t most = 400);
  // A thin line over the whole width, for zero or a limit.
  void level(double y);

  [[nodiscard]] int outside() const { return outside_; }
  // For sentences that are known only when all is drawn.
  void describe(std::string sentence);
  [[nodiscard]] std::string svg() const;

 private:
  [[nodiscard]] double at_x(double x) const;
  [[nodiscard]] double at_y(double y) const;
  [[nodiscard]] std::vector<Xy> inside(std::span<const Xy> points);
  void note_outside(double x, double y);
  void add_legend(std::string kind, std::string_view words);

  Caption caption_;
  Axis x_, y_;
  double height_;
  std::string body_;
  std::vector<LegendItem> legend_;
  // Arrowheads: at the top or not, and the column.
  std::set<std::pair<bool, int>> edges_;
  int outside_ = 0;
};

}  // namespace stillpoint::plot

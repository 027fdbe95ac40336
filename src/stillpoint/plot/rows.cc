#include "stillpoint/plot/rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/plot/frame.h"

namespace stillpoint::plot {
namespace {

constexpr double kRow = 32, kInner = 28;
constexpr double kNotes = 34;  // more room at the right than other charts
constexpr double kRowsWidth = kPlotWidth - kNotes;
constexpr int kArrowColumn = 8;

struct Placed {
  std::vector<Xy> inside;
  std::set<std::pair<bool, int>> edges;
};

Placed place(std::span<const Xy> points, const Axis& x, double limit) {
  Placed out;
  for (const Xy& p : points) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y) || p.x < x.low ||
        p.x > x.high) {
      continue;
    }
    const double at = (p.x - x.low) / (x.high - x.low) * kRowsWidth;
    if (std::abs(p.y) > limit) {
      out.edges.emplace(p.y > 0, static_cast<int>(at) / kArrowColumn);
    } else {
      out.inside.push_back({at, (limit - p.y) / (2 * limit) * kInner});
    }
  }
  return out;
}

void put_edges(std::string& out, const Placed& placed) {
  if (placed.edges.empty()) {
    return;
  }
  out += "<g class=\"over\"><path class=\"fill\" d=\"";
  for (const auto& [upper, column] : placed.edges) {
    fmt::format_to(std::back_inserter(out),
                   "M{} {}l3 {}h-6z",
                   px((column + 0.5) * kArrowColumn),
                   px(upper ? 0 : kInner),
                   upper ? 5 : -5);
  }
  out += "\"/></g>\n";
}

void put_row(std::string& out,
             const Row& row,
             const Axis& x,
             double limit,
             double top,
             std::size_t most_cells) {
  fmt::format_to(
      std::back_inserter(out), "<g transform=\"translate(0 {})\">\n", px(top));
  put_text(out, -8, kInner / 2 + 5, "tick", "end", row.label);
  put_text(out, kPlotWidth + kRight, kInner / 2 + 5, "tick", "end", row.note);
  put_line(out, 0, kInner / 2, kRowsWidth, kInner / 2, "ring");
  const Placed points = place(row.points, x, limit);
  const Placed crosses = place(row.crosses, x, limit);
  put_points(
      out, points.inside, kRowsWidth, kInner, Series::kFirst, most_cells);
  put_crosses(out, crosses.inside, kRowsWidth, kInner, most_cells / 4 + 1);
  put_edges(out, points);
  put_edges(out, crosses);
  out += "</g>\n";
}

}  // namespace

std::string row_chart(const Caption& caption,
                      const Axis& x,
                      const RowsScale& scale,
                      std::span<const Row> rows,
                      std::size_t most_cells) {
  STILLPOINT_CHECK(!rows.empty() && scale.limit > 0 && x.low < x.high);
  constexpr double kTop = 64;
  const double height = kRow * static_cast<double>(rows.size());
  std::string out = open_picture(caption, kTop + height + kBottom);
  put_text(out, 0, 46, "name", "start", scale.words);
  put_text(out, kWidth, 46, "name", "end", scale.note_words);
  open_plot(out, kTop);
  const Ticks t = ticks(x, 7);
  for (std::size_t i = 0; i < t.at.size(); ++i) {
    const double at = (t.at[i] - x.low) / (x.high - x.low) * kRowsWidth;
    put_line(out, at, 0, at, height, "grid");
    put_text(out, at, height + 18, "tick", "middle", t.labels[i]);
  }
  put_text(out, kRowsWidth / 2, height + 45, "name", "middle", x.label);
  const std::size_t share = std::max<std::size_t>(1, most_cells / rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    put_row(out, rows[i], x, scale.limit, kRow * static_cast<double>(i), share);
  }
  out += "</g></svg>\n";
  return out;
}

}  // namespace stillpoint::plot

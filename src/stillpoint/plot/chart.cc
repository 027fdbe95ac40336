#include "stillpoint/plot/chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "stillpoint/core/check.h"
#include "stillpoint/plot/frame.h"

namespace stillpoint::plot {
namespace {

constexpr int kArrowColumn = 8;  // px

void put_polyline(std::string& out,
                  std::span<const Xy> points,
                  const char* first) {
  const char* command = first;
  for (const Xy& p : points) {
    fmt::format_to(
        std::back_inserter(out), "{}{} {}", command, px(p.x), px(p.y));
    command = "L";
  }
}

// Runs of finite values, [begin, end).
template <class Point, class Good>
std::vector<std::span<const Point>> runs(std::span<const Point> points,
                                         Good good) {
  std::vector<std::span<const Point>> out;
  for (std::size_t i = 0; i < points.size();) {
    const std::size_t begin = i;
    while (i < points.size() && good(points[i])) {
      ++i;
    }
    if (i > begin) {
      out.push_back(points.subspan(begin, i - begin));
    } else {
      ++i;
    }
  }
  return out;
}

bool finite(const Xy& p) {
  return std::isfinite(p.x) && std::isfinite(p.y);
}

std::string kind_of(char family, Series series) {
  return {family, series_letter(series)};
}

}  // namespace

Chart::Chart(Caption caption, Axis x, Axis y, double height)
    : caption_(std::move(caption)),
      x_(std::move(x)),
      y_(std::move(y)),
      height_(height) {
  STILLPOINT_CHECK(x_.low < x_.high && y_.low < y_.high && height_ > 0);
}

double Chart::at_x(double x) const {
  return (x - x_.low) / (x_.high - x_.low) * kPlotWidth;
}

double Chart::at_y(double y) const {
  return (y_.high - y) / (y_.high - y_.low) * height_;
}

void Chart::note_outside(double x, double y) {
  if (y >= 0 && y <= height_) {
    return;
  }
  ++outside_;
  edges_.emplace(y < 0, static_cast<int>(x) / kArrowColumn);
}

// In pixels; those beyond the sides are left out, those above and below noted.
std::vector<Xy> Chart::inside(std::span<const Xy> points) {
  std::vector<Xy> out;
  for (const Xy& p : points) {
    if (!finite(p) || p.x < x_.low || p.x > x_.high) {
      continue;
    }
    const Xy at{at_x(p.x), at_y(p.y)};
    if (at.y >= 0 && at.y <= height_) {
      out.push_back(at);
    } else {
      note_outside(at.x, at.y);
    }
  }
  return out;
}

void Chart::band(std::span<const BandPoint> points,
                 Series series,
                 std::string_view legend) {
  const auto parts = runs(points, [](const BandPoint& p) {
    return std::isfinite(p.x) && std::isfinite(p.low) && std::isfinite(p.high);
  });
  std::string d;
  for (const auto& part : parts) {
    std::vector<Xy> upper, lower;
    for (const BandPoint& p : part) {
      upper.push_back({at_x(p.x), at_y(p.high)});
      lower.push_back({at_x(p.x), at_y(p.low)});
    }
    const std::vector<Xy> there = thin_line(upper);
    std::vector<Xy> back = thin_line(lower);
    std::ranges::reverse(back);
    put_polyline(d, there, "M");
    put_polyline(d, back, "L");
    d += "z";
  }
  // A fill of its own: .plot path has none.
  fmt::format_to(std::back_inserter(body_),
                 "<g class=\"{}\"><path class=\"fill\" d=\"{}\"/></g>\n",
                 kind_of('b', series),
                 d);
  add_legend(kind_of('b', series), legend);
}

void Chart::line(std::span<const Xy> points,
                 Series series,
                 std::string_view legend) {
  std::string d;
  for (const auto& part : runs(points, finite)) {
    std::vector<Xy> at;
    for (const Xy& p : part) {
      at.push_back({at_x(p.x), at_y(p.y)});
      if (p.x >= x_.low && p.x <= x_.high) {
        note_outside(at.back().x, at.back().y);
      }
    }
    put_polyline(d, thin_line(at), "M");
  }
  fmt::format_to(std::back_inserter(body_),
                 "<path class=\"{}\" d=\"{}\"/>\n",
                 kind_of('l', series),
                 d);
  add_legend(kind_of('l', series), legend);
}

void Chart::steps(std::span<const StepPoint> points,
                  Series series,
                  std::string_view legend) {
  std::string d;
  double end = 0;
  bool joined = false;
  for (const StepPoint& p : points) {
    if (!std::isfinite(p.y)) {
      joined = false;
      continue;
    }
    const bool next = joined && p.from == end;
    fmt::format_to(std::back_inserter(d),
                   "{}{} {}H{}",
                   next ? "L" : "M",
                   px(at_x(p.from)),
                   px(at_y(p.y)),
                   px(at_x(p.to)));
    note_outside(at_x((p.from + p.to) / 2), at_y(p.y));
    end = p.to;
    joined = true;
  }
  fmt::format_to(std::back_inserter(body_),
                 "<path class=\"{}\" d=\"{}\"/>\n",
                 kind_of('l', series),
                 d);
  add_legend(kind_of('l', series), legend);
}

void Chart::points(std::span<const Xy> points,
                   Series series,
                   std::string_view legend,
                   std::size_t most_cells) {
  put_points(body_, inside(points), kPlotWidth, height_, series, most_cells);
  add_legend(kind_of('d', series), legend);
}

void Chart::crosses(std::span<const Xy> points,
                    std::string_view legend,
                    std::size_t most) {
  put_crosses(body_, inside(points), kPlotWidth, height_, most);
  add_legend("mark", legend);
}

void Chart::level(double y) {
  put_line(body_, 0, at_y(y), kPlotWidth, at_y(y), "axis");
}

void Chart::add_legend(std::string kind, std::string_view words) {
  if (!words.empty()) {
    legend_.push_back({std::move(kind), std::string(words)});
  }
}

void Chart::describe(std::string sentence) {
  caption_.describe = std::move(sentence);
}

std::string Chart::svg() const {
  std::string legend;
  const double top = put_legend(legend, legend_, 30) + 32;
  std::string out = open_picture(caption_, top + height_ + kBottom);
  out += legend;
  open_plot(out, top);
  put_x_axis(out, x_, height_);
  put_y_axis(out, y_, height_);
  open_clip(out, caption_.id, height_);
  out += body_;
  out += "</g>\n";
  for (const auto& [upper, column] : edges_) {
    const double x = (column + 0.5) * kArrowColumn;
    fmt::format_to(std::back_inserter(out),
                   "<g class=\"over\"><path class=\"fill\" "
                   "d=\"M{} {}l4 {}h-8z\"/></g>\n",
                   px(x),
                   px(upper ? 0 : height_),
                   upper ? 7 : -7);
  }
  out += "</g></svg>\n";
  return out;
}

}  // namespace stillpoint::plot

#include "stillpoint/plot/frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <string_view>

namespace stillpoint::plot {
namespace {

// One letter of a small screen's size is taken as this wide.
constexpr double kLetter = 10.5;
constexpr double kSample = 34, kRowHeight = 26;

double words_width(std::string_view words) {
  const auto letters = std::ranges::count_if(
      words, [](char c) { return (static_cast<unsigned char>(c) >> 6) != 2; });
  return kLetter * static_cast<double>(letters);
}

void put_sample(std::string& out, const LegendItem& item, double x, double y) {
  switch (item.kind.empty() ? ' ' : item.kind[0]) {
    case 'b':
      fmt::format_to(std::back_inserter(out),
                     "<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"26\" "
                     "height=\"12\"/>",
                     item.kind,
                     px(x),
                     px(y - 6));
      break;
    case 'd':
      fmt::format_to(std::back_inserter(out),
                     "<path class=\"{}\" d=\"M{} {}h0m8 3h0m8-5h0\"/>",
                     item.kind,
                     px(x + 5),
                     px(y));
      break;
    case 'm':
      fmt::format_to(std::back_inserter(out),
                     "<path class=\"mark\" d=\"M{} {}l5 5m0-5l-5 5\"/>",
                     px(x + 12),
                     px(y - 2.5));
      break;
    default:
      put_line(out, x, y, x + 26, y, item.kind);
  }
}

}  // namespace

void put_x_axis(std::string& out, const Axis& axis, double height) {
  const Ticks t = ticks(axis, 7);
  std::string labels;
  for (std::size_t i = 0; i < t.at.size(); ++i) {
    const double x = (t.at[i] - axis.low) / (axis.high - axis.low) * kPlotWidth;
    put_line(out, x, 0, x, height, "grid");
    put_text(labels, x, height + 22, "tick", "middle", t.labels[i]);
  }
  out += labels;
  put_line(out, 0, height, kPlotWidth, height, "axis");
  put_text(out, kPlotWidth / 2, height + 47, "name", "middle", axis.label);
}

void put_y_axis(std::string& out, const Axis& axis, double height) {
  const int most = std::clamp(static_cast<int>(height / 34), 2, 9);
  const Ticks t = ticks(axis, most);
  for (std::size_t i = 0; i < t.at.size(); ++i) {
    const double y = (axis.high - t.at[i]) / (axis.high - axis.low) * height;
    put_line(out, 0, y, kPlotWidth, y, "grid");
    put_text(out, -8, y + 5, "tick", "end", t.labels[i]);
  }
  put_line(out, 0, 0, 0, height, "axis");
  put_text(out, -kLeft, -12, "name", "start", axis.label);
}

double put_legend(std::string& out,
                  std::span<const LegendItem> items,
                  double top) {
  if (items.empty()) {
    return top;
  }
  double x = 0, y = top + kRowHeight / 2;
  for (const LegendItem& item : items) {
    const double width = kSample + words_width(item.words) + 14;
    if (x > 0 && x + width > kWidth) {
      x = 0;
      y += kRowHeight;
    }
    put_sample(out, item, x, y);
    put_text(out, x + kSample, y + 5, "name", "start", item.words);
    x += width;
  }
  return y + kRowHeight / 2;
}

void open_plot(std::string& out, double top) {
  fmt::format_to(std::back_inserter(out),
                 "<g transform=\"translate({} {})\">\n",
                 px(kLeft),
                 px(top));
}

void open_clip(std::string& out, const std::string& id, double height) {
  fmt::format_to(std::back_inserter(out),
                 "<clipPath id=\"{}-c\"><path d=\"M0 0h{}v{}H0z\"/></clipPath>"
                 "<g clip-path=\"url(#{}-c)\">\n",
                 id,
                 px(kPlotWidth),
                 px(height),
                 id);
}

}  // namespace stillpoint::plot

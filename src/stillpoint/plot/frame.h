// Inside of the module: where a chart's plot lies, its grid and its legend.
#pragma once

#include <span>
#include <string>

#include "stillpoint/plot/chart.h"

namespace stillpoint::plot {

// Room for the letters of a small screen, which are half as large again.
inline constexpr double kLeft = 64, kRight = 30, kBottom = 56;
inline constexpr double kPlotWidth = kWidth - kLeft - kRight;

// Grid and labels in coordinates of the plot (0, 0 its upper left corner).
void put_x_axis(std::string& out, const Axis& axis, double height);
void put_y_axis(std::string& out, const Axis& axis, double height);

// Writes the legend below `top` and returns where it ends.
double put_legend(std::string& out,
                  std::span<const LegendItem> items,
                  double top);

// Everything between the tags, clipped to the plot or not.
void open_plot(std::string& out, double top);
void open_clip(std::string& out, const std::string& id, double height);

}  // namespace stillpoint::plot

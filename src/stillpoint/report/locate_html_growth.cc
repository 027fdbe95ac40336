// Pictures of what changed with time: the answer and the air.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "stillpoint/plot/chart.h"
#include "stillpoint/report/locate_html_parts.h"

namespace stillpoint::report {
namespace {

constexpr std::array<const char*, 3> kNames{"east", "north", "up"};

std::array<double, 3> parts(const Enu& v) {
  return {v.e_m, v.n_m, v.u_m};
}

double furthest(const Enu& v) {
  return std::max({std::abs(v.e_m), std::abs(v.n_m), std::abs(v.u_m)});
}

// The beginning may be a hundred times as far off as the rest: the first
// quarter does not stretch the axis if enough follows.
double growth_limit(std::span<const solve::GrowthPoint> growth,
                    GnssTime first) {
  const double early_s = (growth.back().time - first).s / 4;
  constexpr std::ptrdiff_t kEnough = 3;
  const auto late = [&](const solve::GrowthPoint& p) {
    return (p.time - first).s > early_s;
  };
  const bool enough = std::ranges::count_if(growth, late) >= kEnough;
  double limit = 1e-4;
  for (const solve::GrowthPoint& p : growth) {
    const double reach =
        furthest(p.from_final_m) + *std::ranges::max_element(p.sigma_enu_m);
    if (std::isfinite(reach) && (!enough || late(p))) {
      limit = std::max(limit, reach);
    }
  }
  return plot::round_up(limit);
}

// From when on the answer stayed near to the final one.
std::string settled_words(std::span<const solve::GrowthPoint> growth,
                          GnssTime first) {
  constexpr double kNearM = 0.010;
  constexpr std::size_t kFewest = 3;  // points that show a settling
  if (growth.size() < kFewest) {
    return "The data are too short to show how the answer settled.";
  }
  std::size_t from = growth.size();
  while (from > 0 && furthest(growth[from - 1].from_final_m) <= kNearM) {
    --from;
  }
  if (from + 1 >= growth.size()) {
    return "The answer still moved by more than 10 mm shortly before the data "
           "ended: record longer.";
  }
  return fmt::format(
      "From {:.1f} hours of data on the answer stayed within 10 mm of the "
      "final one in east, north and up.",
      (growth[from].time - first).s / 3600);
}

std::string component_chart(const std::string& prefix,
                            std::span<const solve::GrowthPoint> growth,
                            GnssTime first,
                            std::size_t axis,
                            double limit_m,
                            const std::string& sentence) {
  const ChartUnit unit = chart_unit(limit_m);
  const double limit = limit_m * unit.per_m;
  const double hours = (growth.back().time - first).s / 3600;
  plot::Chart chart(
      {.id = fmt::format("{}growth-{}", prefix, kNames[axis]),
       .title = fmt::format("Distance from the final answer, {}", kNames[axis]),
       .describe = sentence},
      {.label = "hours of data",
       .low = 0,
       .high = std::max(hours, 0.1),
       .origin = std::nullopt},
      {.label = unit.name,
       .low = -limit,
       .high = limit,
       .origin = std::nullopt},
      130);
  std::vector<plot::BandPoint> band;
  std::vector<plot::Xy> line;
  for (const solve::GrowthPoint& p : growth) {
    const double x = (p.time - first).s / 3600;
    const double y = parts(p.from_final_m)[axis] * unit.per_m;
    const double sigma = p.sigma_enu_m[axis] * unit.per_m;
    band.push_back({x, y - sigma, y + sigma});
    line.push_back({x, y});
  }
  chart.level(0);
  chart.band(band, plot::Series::kFirst, "one sigma");
  chart.line(line, plot::Series::kFirst, "answer so far");
  chart.points(line, plot::Series::kFirst);
  return chart.svg();
}

std::string delay_chart(std::span<const solve::ZenithPoint> zenith,
                        const plot::Axis& x,
                        std::string& sentence) {
  std::vector<plot::BandPoint> band;
  std::vector<plot::Xy> line;
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const solve::ZenithPoint& p : zenith) {
    const double at = (p.time - *x.origin).s;
    band.push_back(
        {at, p.zenith_delay_m - p.sigma_m, p.zenith_delay_m + p.sigma_m});
    line.push_back({at, p.zenith_delay_m});
    if (std::isfinite(band.back().low) && std::isfinite(band.back().high)) {
      low = std::min(low, band.back().low);
      high = std::max(high, band.back().high);
    }
  }
  if (!(low <= high)) {
    low = high = 0;
  }
  sentence = fmt::format(
      "With its one-sigma band the zenith delay of the air ranges from {:.3f} "
      "to {:.3f} m.",
      low,
      high);
  const double room = std::max(0.05 * (high - low), 0.001);
  plot::Chart chart({.id = "zenith",
                     .title = "Delay of the air towards the zenith",
                     .describe = sentence},
                    x,
                    {.label = "m",
                     .low = low - room,
                     .high = high + room,
                     .origin = std::nullopt},
                    200);
  chart.band(band, plot::Series::kFirst, "one sigma");
  chart.line(line, plot::Series::kFirst, "hydrostatic and wet");
  return chart.svg();
}

std::string gradient_chart(std::span<const solve::ZenithPoint> zenith,
                           const plot::Axis& x,
                           std::string& sentence) {
  std::vector<plot::Xy> east, north;
  double most = 1e-4;
  for (const solve::ZenithPoint& p : zenith) {
    const double at = (p.time - *x.origin).s;
    east.push_back({at, p.gradient_east_m * 1000});
    north.push_back({at, p.gradient_north_m * 1000});
    for (const double v : {p.gradient_east_m, p.gradient_north_m}) {
      most = std::max(most, std::isfinite(v) ? std::abs(v) : 0);
    }
  }
  sentence = fmt::format(
      "How much the air leans: the gradients stay within {:.1f} mm; positive "
      "means more delay in the east or north.",
      most * 1000);
  const double limit = plot::round_up(most * 1000);
  plot::Chart chart(
      {.id = "gradients",
       .title = "Gradients of the air",
       .describe = sentence},
      x,
      {.label = "mm", .low = -limit, .high = limit, .origin = std::nullopt},
      160);
  chart.level(0);
  chart.line(east, plot::Series::kFirst, "east");
  chart.line(north, plot::Series::kSecond, "north");
  return chart.svg();
}

}  // namespace

std::string growth_html(std::span<const solve::GrowthPoint> growth,
                        const GnssTime* first,
                        const std::string& prefix) {
  if (growth.empty()) {
    return {};
  }
  const GnssTime begin =
      first != nullptr ? *first : growth.front().time - Duration{3600};
  const double limit_m = growth_limit(growth, begin);
  const std::string sentence = settled_words(growth, begin);
  std::string out = "<h2>How the answer settled</h2>\n";
  for (std::size_t axis = 0; axis < kNames.size(); ++axis) {
    put_figure(out,
               component_chart(prefix, growth, begin, axis, limit_m, sentence),
               "");
  }
  out += "<p>";
  out += sentence;
  out +=
      " If zero lies far outside the band for hours, the sigma is too small "
      "for "
      "this site. An arrowhead at an edge stands for a value beyond it.</p>\n";
  return out;
}

std::string zenith_html(std::span<const solve::ZenithPoint> zenith) {
  if (zenith.empty()) {
    return {};
  }
  const plot::Axis x = plot::time_axis(zenith.front().time, zenith.back().time);
  std::string out = "<h2>The air above</h2>\n";
  std::string sentence;
  std::string picture = delay_chart(zenith, x, sentence);
  put_figure(out, picture, sentence);
  picture = gradient_chart(zenith, x, sentence);
  put_figure(out, picture, sentence);
  return out;
}

}  // namespace stillpoint::report

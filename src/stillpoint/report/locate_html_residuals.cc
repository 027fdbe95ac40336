// Pictures of what the solution could not explain.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "stillpoint/plot/chart.h"
#include "stillpoint/plot/rows.h"
#include "stillpoint/plot/sky_map.h"
#include "stillpoint/report/locate_html_parts.h"

namespace stillpoint::report {
namespace {

constexpr double kDeg = 180 / std::numbers::pi;

using Residuals = std::span<const solve::ResidualPoint>;
using Value = double (*)(const solve::ResidualPoint&);

double phase(const solve::ResidualPoint& p) {
  return static_cast<double>(p.phase_m);
}
double code(const solve::ResidualPoint& p) {
  return static_cast<double>(p.code_m);
}

std::vector<double> used_values(Residuals residuals, Value value) {
  std::vector<double> out;
  for (const solve::ResidualPoint& p : residuals) {
    if (p.used && std::isfinite(value(p))) {
      out.push_back(value(p));
    }
  }
  return out;
}

std::string row_picture(const std::string& prefix,
                        System system,
                        const std::map<SatId, plot::Row>& rows_of,
                        const plot::Axis& x,
                        double limit_m,
                        std::size_t satellites) {
  const ChartUnit unit = chart_unit(limit_m);
  std::vector<plot::Row> shown;
  for (const auto& [sat, row] : rows_of) {
    if (sat.system == system) {
      shown.push_back(row);
    }
  }
  if (shown.empty()) {
    return {};
  }
  // One budget for the satellites of all systems.
  constexpr std::size_t kMostCells = 14'000;
  return plot::row_chart(
      {.id = fmt::format("{}rows-{}", prefix, static_cast<int>(system)),
       .title = fmt::format("Phase residuals, {}", system_name(system)),
       .describe = fmt::format(
           "{} satellites of {}, one row each, over time; the number at the "
           "right is the RMS.",
           shown.size(),
           system_name(system))},
      x,
      {.limit = limit_m * unit.per_m,
       .words = fmt::format("each row: \u2212{} to +{} {}",
                            limit_m * unit.per_m,
                            limit_m * unit.per_m,
                            unit.name),
       .note_words = fmt::format("RMS, {}", unit.name)},
      shown,
      kMostCells * shown.size() / satellites);
}

void put_rows(std::string& out,
              const std::string& prefix,
              Residuals residuals) {
  // Narrower than elsewhere: rows are low, and their waves are what counts.
  const double limit_m =
      residual_limit(used_values(residuals, phase), 0.99, 1.2);
  const ChartUnit unit = chart_unit(limit_m);
  const plot::Axis x =
      plot::time_axis(residuals.front().time, residuals.back().time);
  std::map<SatId, plot::Row> rows_of;
  std::map<SatId, std::vector<double>> used;
  for (const solve::ResidualPoint& p : residuals) {
    plot::Row& row = rows_of[p.sat];
    const plot::Xy at{(p.time - *x.origin).s, phase(p) * unit.per_m};
    (p.used ? row.points : row.crosses).push_back(at);
    if (p.used && std::isfinite(at.y)) {
      used[p.sat].push_back(at.y);
    }
  }
  for (auto& [sat, row] : rows_of) {
    const double value = rms(used[sat]);
    row.label = sat.text();
    row.note = fmt::format("{:.{}f}", value, value < 9.95 ? 1 : 0);
  }
  for (const System system : kSystems) {
    const std::string picture =
        row_picture(prefix, system, rows_of, x, limit_m, rows_of.size());
    if (!picture.empty()) {
      put_figure(out, picture, "");
    }
  }
  out +=
      "<p>The stronger a spot, the more observations fell into it; crosses "
      "were left out of the solution; arrowheads stand for values beyond the "
      "row. Slow waves that other satellites do not show point to reflections "
      "or to a satellite's orbit and clock, a step to a slip that was not "
      "found.</p>\n";
}

struct Bins {
  std::vector<plot::StepPoint> upper, lower;
  std::string words;
};

// RMS in bins of 5 degrees; those with few values are left out.
Bins rms_bins(Residuals residuals, Value value, double per_m) {
  constexpr std::size_t kBins = 18, kFewest = 10;
  constexpr double kBinDeg = 5;
  std::array<std::vector<double>, kBins> values;
  for (const solve::ResidualPoint& p : residuals) {
    const double bin = static_cast<double>(p.elevation_rad) * kDeg / kBinDeg;
    if (p.used && std::isfinite(value(p)) && bin >= 0 && bin < kBins + 1) {
      const auto i = std::min(static_cast<std::size_t>(bin), kBins - 1);
      values[i].push_back(value(p));
    }
  }
  Bins out;
  for (std::size_t i = 0; i < kBins; ++i) {
    if (values[i].size() < kFewest) {
      continue;
    }
    const double from = kBinDeg * static_cast<double>(i);
    const double size = rms(values[i]);
    out.upper.push_back({from, from + kBinDeg, size * per_m});
    out.lower.push_back({from, from + kBinDeg, -size * per_m});
  }
  if (!out.upper.empty()) {
    const auto words = [&](const plot::StepPoint& p) {
      return fmt::format("{} between {:.0f} and {:.0f} degrees",
                         length_words(p.y / per_m),
                         p.from,
                         p.to);
    };
    out.words = fmt::format("The RMS is {} and {}.",
                            words(out.upper.front()),
                            words(out.upper.back()));
  }
  return out;
}

void put_elevation(std::string& out,
                   const std::string& prefix,
                   Residuals residuals,
                   Value value,
                   const char* name) {
  const double limit_m = residual_limit(used_values(residuals, value));
  const ChartUnit unit = chart_unit(limit_m);
  const double limit = limit_m * unit.per_m;
  plot::Chart chart(
      {.id = fmt::format("{}elevation-{}", prefix, name),
       .title = fmt::format("Residuals of the {} by elevation", name),
       .describe = ""},
      {.label = "elevation, degrees",
       .low = 0,
       .high = 90,
       .origin = std::nullopt},
      {.label = unit.name,
       .low = -limit,
       .high = limit,
       .origin = std::nullopt});
  std::vector<plot::Xy> used, unused;
  for (const solve::ResidualPoint& p : residuals) {
    (p.used ? used : unused)
        .push_back({static_cast<double>(p.elevation_rad) * kDeg,
                    value(p) * unit.per_m});
  }
  const Bins bins = rms_bins(residuals, value, unit.per_m);
  chart.points(used, plot::Series::kFirst, "observations");
  if (!unused.empty()) {
    chart.crosses(unused, "left out");
  }
  chart.steps(bins.upper, plot::Series::kSecond, "RMS of each 5\u00b0, \u00b1");
  chart.steps(bins.lower, plot::Series::kSecond);
  std::string sentence = bins.words;
  if (chart.outside() > 0) {
    sentence += fmt::format("{}{} values lie beyond the picture (arrowheads).",
                            sentence.empty() ? "" : " ",
                            chart.outside());
  }
  chart.describe(sentence);
  put_figure(out, chart.svg(), sentence);
}

void put_sky(std::string& out, const std::string& prefix, Residuals residuals) {
  constexpr int kFewest = 10;
  std::vector<plot::SkySample> samples;
  for (const solve::ResidualPoint& p : residuals) {
    if (p.used) {
      samples.push_back({static_cast<double>(p.azimuth_rad),
                         static_cast<double>(p.elevation_rad),
                         phase(p)});
    }
  }
  std::vector<plot::SkyPatch> patches = plot::sky_patches(samples);
  std::erase_if(patches, [](const auto& p) { return p.count < kFewest; });
  if (patches.empty()) {
    return;
  }
  std::vector<double> means;
  means.reserve(patches.size());
  for (const plot::SkyPatch& p : patches) {
    means.push_back(p.mean);
  }
  const double limit_m = residual_limit(means);
  const ChartUnit unit = chart_unit(limit_m);
  const auto largest = std::ranges::max_element(
      patches, {}, [](const plot::SkyPatch& p) { return std::abs(p.mean); });
  const std::string sentence = fmt::format(
      "The largest mean, {}, lies near azimuth {:.0f} and elevation {:.0f} "
      "degrees. Patches of one sign that stand together point to something "
      "that reflects or to the antenna's calibration; an even mixture is "
      "noise.",
      length_words(largest->mean),
      (largest->azimuth_from_rad + largest->azimuth_to_rad) / 2 * kDeg,
      (largest->elevation_from_rad + largest->elevation_to_rad) / 2 * kDeg);
  for (plot::SkyPatch& p : patches) {
    p.mean *= unit.per_m;
  }
  const std::string picture =
      plot::sky_map({.id = prefix + "sky",
                     .title = "Mean phase residual by direction",
                     .describe = sentence},
                    {.limit = limit_m * unit.per_m,
                     .limit_text = fmt::format("{}", limit_m * unit.per_m),
                     .words = fmt::format("mean, {}", unit.name),
                     .fewest = kFewest},
                    patches);
  put_figure(out, picture, sentence);
}

}  // namespace

std::string residuals_html(Residuals residuals, const std::string& prefix) {
  if (residuals.empty()) {
    return {};
  }
  std::string out = "<h2>What the solution could not explain</h2>\n";
  put_elevation(out, prefix, residuals, phase, "phase");
  put_elevation(out, prefix, residuals, code, "code");
  put_sky(out, prefix, residuals);
  put_rows(out, prefix, residuals);
  return out;
}

}  // namespace stillpoint::report

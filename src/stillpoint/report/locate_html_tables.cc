#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include "stillpoint/plot/markup.h"
#include "stillpoint/report/locate_html_parts.h"

namespace stillpoint::report {
namespace {

using plot::escape;

struct SatelliteRow {
  int observations = 0, rejected = 0;
  double rms_m = 0;
  std::vector<double> phase_m, code_m;  // used, from the series
};

void open_table(std::string& out,
                std::string_view kind,
                std::initializer_list<std::string_view> heads) {
  fmt::format_to(std::back_inserter(out),
                 "<div class=\"wide\"><table class=\"{}\"><thead><tr>",
                 kind);
  for (const std::string_view head : heads) {
    fmt::format_to(std::back_inserter(out), "<th scope=\"col\">{}</th>", head);
  }
  out += "</tr></thead><tbody>\n";
}

constexpr const char* kEndTable = "</tbody></table></div>\n";

std::map<SatId, SatelliteRow> satellite_rows(const solve::Solution& s,
                                             const solve::PppSeries* series) {
  std::map<SatId, SatelliteRow> out;
  if (series != nullptr) {
    for (const solve::ResidualPoint& p : series->residuals) {
      SatelliteRow& row = out[p.sat];
      ++(p.used ? row.observations : row.rejected);
      if (p.used && std::isfinite(p.phase_m)) {
        row.phase_m.push_back(static_cast<double>(p.phase_m));
      }
      if (p.used && std::isfinite(p.code_m)) {
        row.code_m.push_back(static_cast<double>(p.code_m));
      }
    }
  }
  // Where the solution counts for itself, its numbers stand.
  for (const solve::SatelliteFit& fit : s.satellites) {
    SatelliteRow& row = out[fit.sat];
    row.observations = fit.observations;
    row.rejected = fit.rejected;
    row.rms_m = fit.rms_m;
  }
  return out;
}

void put_satellites(std::string& out,
                    const solve::Solution& s,
                    const solve::PppSeries* series) {
  const auto rows = satellite_rows(s, series);
  if (rows.empty()) {
    return;
  }
  const bool phases = series != nullptr && !series->residuals.empty();
  out += "<h2>Satellites</h2>\n";
  if (phases) {
    open_table(out,
               "numbers",
               {"Satellite", "Used", "Left out", "Phase RMS", "Code RMS"});
  } else {
    open_table(out, "numbers", {"Satellite", "Used", "Left out", "RMS"});
  }
  for (const auto& [sat, row] : rows) {
    fmt::format_to(std::back_inserter(out),
                   "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td>",
                   sat.text(),
                   row.observations,
                   row.rejected);
    if (phases) {
      fmt::format_to(std::back_inserter(out),
                     "<td>{}</td><td>{}</td></tr>\n",
                     row.phase_m.empty() ? "" : length_words(rms(row.phase_m)),
                     row.code_m.empty() ? "" : length_words(rms(row.code_m)));
    } else {
      fmt::format_to(std::back_inserter(out),
                     "<td>{}</td></tr>\n",
                     length_words(row.rms_m));
    }
  }
  out += kEndTable;
}

const char* reason_words(solve::Exclusion e) {
  switch (e) {
    case solve::Exclusion::kNoOrbit:
      return "no orbit or clock for the time";
    case solve::Exclusion::kUnhealthy:
      return "unhealthy by its own message";
    case solve::Exclusion::kBelowMask:
      return "under the elevation mask";
    case solve::Exclusion::kNoSignalPair:
      return "not the signals that the method needs";
    case solve::Exclusion::kOutlier:
      return "disagreed with the others";
    case solve::Exclusion::kTooFew:
      return "too few satellites at the time";
    case solve::Exclusion::kSystemOff:
      return "of a system that was not used";
    case solve::Exclusion::kNoAntenna:
      return "no antenna calibration of the satellite at hand";
    case solve::Exclusion::kShortArc:
      return "phase tracked without a break for too short a time";
  }
  return "";
}

void put_excluded(std::string& out, const solve::Counts& counts) {
  std::string rows;
  for (std::size_t r = 0; r < solve::kExclusionCount; ++r) {
    int observations = 0, satellites = 0;
    for (const auto& [sat, reasons] : counts.excluded) {
      observations += reasons[r];
      satellites += reasons[r] > 0 ? 1 : 0;
    }
    if (observations > 0) {
      fmt::format_to(std::back_inserter(rows),
                     "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td>"
                     "</tr>\n",
                     reason_words(static_cast<solve::Exclusion>(r)),
                     observations,
                     satellites);
    }
  }
  if (rows.empty()) {
    return;
  }
  out += "<h2>Observations that took no part</h2>\n";
  open_table(out, "numbers", {"Why", "Observations", "Satellites"});
  out += rows;
  out += kEndTable;
}

void put_inputs(std::string& out, const LocateContext& c) {
  out += "<h2>Made from</h2>\n";
  if (c.inputs.empty()) {
    out += "<p>No files are recorded.</p>\n";
    return;
  }
  open_table(out, "files", {"File", "SHA-256"});
  for (const InputFile& file : c.inputs) {
    fmt::format_to(std::back_inserter(out),
                   "<tr><td>{}</td><td><code>{}</code></td></tr>\n",
                   escape(file.path),
                   escape(file.sha256));
  }
  out += kEndTable;
}

}  // namespace

std::string tables_html(const solve::Solution& solution,
                        const LocateContext& context,
                        const solve::PppSeries* series) {
  std::string out;
  put_satellites(out, solution, series);
  put_excluded(out, solution.counts);
  put_inputs(out, context);
  return out;
}

}  // namespace stillpoint::report

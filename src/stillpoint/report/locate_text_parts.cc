#include "stillpoint/report/locate_text_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/report/paragraph.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

std::string degrees(double rad, char positive, char negative) {
  const double deg = rad * 180 / std::numbers::pi;
  return fmt::format("{:.8f} {}", std::abs(deg), deg < 0 ? negative : positive);
}

std::string length(double m) {
  return m < 0.995 ? fmt::format("{:.0f} cm", m * 100)
                   : fmt::format("{:.1f} m", m);
}

std::string point_words(Point p) {
  switch (p) {
    case Point::kMarker:
      return "the mark or mount below the antenna (antenna height removed)";
    case Point::kArp:
      return "the antenna's reference point";
    case Point::kPhaseCentre:
      return "the antenna's phase centre";
  }
  return {};
}

std::string satellites_words(const solve::Counts& c) {
  std::string out;
  for (const auto& [system, count] : c.satellites) {
    out += fmt::format(
        "{}{} {}", out.empty() ? "" : ", ", count, system_name(system));
  }
  return out;
}

const char* reason_words(solve::Exclusion e) {
  switch (e) {
    case solve::Exclusion::kNoOrbit:
      return "without an orbit or clock at the time";
    case solve::Exclusion::kUnhealthy:
      return "called unhealthy by the satellite itself";
    case solve::Exclusion::kBelowMask:
      return "below the elevation mask";
    case solve::Exclusion::kNoSignalPair:
      return "without a code that can be used";
    case solve::Exclusion::kOutlier:
      return "as outliers";
    case solve::Exclusion::kTooFew:
      return "in epochs with too few satellites";
    case solve::Exclusion::kSystemOff:
      return "of systems not used";
    case solve::Exclusion::kNoAntenna:
      return "no antenna calibration of the satellite at hand";
    case solve::Exclusion::kShortArc:
      return "phase tracked without a break for too short a time";
  }
  return "";
}

}  // namespace

bool by_phases(const solve::Solution& s) {
  return s.phase_rms_m.has_value();
}

std::string fine_length(double m) {
  return m < 0.0995 ? fmt::format("{:.1f} mm", m * 1000)
                    : fmt::format("{:.0f} mm", m * 1000);
}

void tell_place(std::string& out,
                const solve::Solution& s,
                const std::string& why) {
  const FramedPosition& p = *s.position;
  const Geodetic g = to_geodetic(
      p.ecef, p.frame.name == "WGS84" ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80);
  paragraph(out,
            "Where",
            fmt::format("{}, {}, {:.{}f} m above the ellipsoid (not above the "
                        "sea)",
                        degrees(g.lat_rad, 'N', 'S'),
                        degrees(g.lon_rad, 'E', 'W'),
                        g.height_m,
                        by_phases(s) ? 3 : 2));
  paragraph(out,
            "",
            fmt::format("X {0:.{3}f}  Y {1:.{3}f}  Z {2:.{3}f} m",
                        p.ecef.x_m,
                        p.ecef.y_m,
                        p.ecef.z_m,
                        by_phases(s) ? 4 : 3));
  paragraph(out, "Point", point_words(p.point));
  paragraph(out,
            "Frame",
            fmt::format("{} at {}; a coordinate without its frame and date is "
                        "worth little",
                        p.frame.name.empty() ? "not stated" : p.frame.name,
                        format_utc(p.epoch)));
  const auto size = by_phases(s) ? fine_length : length;
  paragraph(out,
            "How sure",
            fmt::format("within {} east, {} north, {} up, two times in three "
                        "(one sigma); within twice that, 19 times in 20",
                        size(s.sigma_enu_m[0]),
                        size(s.sigma_enu_m[1]),
                        size(s.sigma_enu_m[2])));
  if (by_phases(s)) {
    const auto& free = s.sigma_without_calibration_enu_m;
    paragraph(out,
              "",
              fmt::format("without what the antenna's calibration may be wrong "
                          "by: {}, {}, {}{}{}",
                          size(free[0]),
                          size(free[1]),
                          size(free[2]),
                          why.empty() ? "" : "; ",
                          why));
  }
}

void tell_data(std::string& out,
               const solve::Solution& s,
               const char* counted) {
  paragraph(out,
            "From",
            fmt::format("{} epochs between {} and {}; satellites: {}",
                        s.counts.epochs,
                        format_utc(*s.first),
                        format_utc(*s.last),
                        satellites_words(s.counts)));
  if (by_phases(s)) {
    paragraph(out,
              "Fit",
              fmt::format("{} phases, scatter {} (rms); codes {}; {} left out "
                          "as outliers; {} {}, {} slips",
                          s.counts.observations,
                          fine_length(*s.phase_rms_m),
                          length(s.code_rms_m),
                          s.counts.rejected,
                          s.ambiguities,
                          counted,
                          s.slips.value_or(0)));
    return;
  }
  const int all = s.counts.observations + s.counts.rejected;
  paragraph(out,
            "Fit",
            fmt::format("{} ranges, scatter {} (rms); {} left out as "
                        "outliers ({:.1f} %)",
                        s.counts.observations,
                        length(s.code_rms_m),
                        s.counts.rejected,
                        100.0 * s.counts.rejected / std::max(1, all)));
}

std::string integers_words(const solve::Solution& s) {
  if (!by_phases(s)) {
    return {};
  }
  const std::string from =
      s.integers_from.empty() ? "" : fmt::format(" ({})", s.integers_from);
  if (!s.fixed || s.ambiguities_fixed == 0) {
    return from.empty() ? "" : "none are kept" + from;
  }
  std::string out = fmt::format("{} of {} ambiguities are kept as integers{}",
                                s.ambiguities_fixed,
                                s.ambiguities,
                                from);
  if (s.ambiguity_ratio && std::isfinite(*s.ambiguity_ratio)) {
    out += fmt::format("; the next best integers fit {:.1f} times worse",
                       *s.ambiguity_ratio);
  }
  return out;
}

void tell_integers(std::string& out, const solve::Solution& s) {
  const std::string words = integers_words(s);
  if (!words.empty()) {
    paragraph(out, "Integers", words);
  }
}

void tell_notes(std::string& out,
                const solve::Solution& s,
                const LocateContext& c) {
  for (const auto& w : s.warnings) {
    paragraph(out, "Note", w.what);
  }
  std::string terms;
  for (const auto& term : c.without) {
    terms += (terms.empty() ? "" : ", ");
    terms += term;
  }
  if (!terms.empty()) {
    paragraph(out, "Left out", terms);
  }
  paragraph(out,
            "Caution",
            "a coordinate for a reference station, not a survey certificate; "
            "not for safety of life");
}

// "1200 ranges of 3 satellites without an orbit …; …"
void tell_excluded(std::string& out, const solve::Counts& c) {
  std::string words;
  for (std::size_t r = 0; r < solve::kExclusionCount; ++r) {
    int observations = 0, satellites = 0;
    for (const auto& [sat, reasons] : c.excluded) {
      observations += reasons[r];
      satellites += reasons[r] > 0 ? 1 : 0;
    }
    if (observations > 0) {
      words += fmt::format("{}{} of {} satellites {}",
                           words.empty() ? "" : "; ",
                           observations,
                           satellites,
                           reason_words(static_cast<solve::Exclusion>(r)));
    }
  }
  if (!words.empty()) {
    paragraph(out, "Not used", "observations: " + words);
  }
}

}  // namespace stillpoint::report

#include "stillpoint/report/locate_text.h"

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

bool by_phases(const solve::Solution& s) {
  return s.phase_rms_m.has_value();
}

// Of a position by phases, where centimetres are coarse.
std::string fine_length(double m) {
  return m < 0.0995 ? fmt::format("{:.1f} mm", m * 1000)
                    : fmt::format("{:.0f} mm", m * 1000);
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

void tell_place(std::string& out, const solve::Solution& s) {
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
                        p.frame.name,
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
                          "by: {}, {}, {}; {}",
                          size(free[0]),
                          size(free[1]),
                          size(free[2]),
                          s.why));
  }
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

void tell_data(std::string& out, const solve::Solution& s) {
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
                          "as outliers; {} arcs, {} slips",
                          s.counts.observations,
                          fine_length(*s.phase_rms_m),
                          length(s.code_rms_m),
                          s.counts.rejected,
                          s.ambiguities,
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

std::string phase_limits(const solve::Solution& s, double hours) {
  if (s.calibration != "full" && hours > 3) {
    return "the receiver antenna's calibration, which is " +
           std::string(s.calibration == "offset" ? "an offset alone"
                                                 : "not at hand") +
           ": the height first of all";
  }
  if (hours < 12) {
    return fmt::format(
        "{:.1f} hours of data: phases need hours to tell their "
        "ambiguities and the position apart",
        hours);
  }
  return "orbits and clocks, the air, and reflections near the antenna";
}

std::string limits(const solve::Solution& s, const LocateContext& c) {
  const double hours = (*s.last - *s.first).s / 3600;
  if (s.counts.satellites.empty()) {
    return "too little data";
  }
  if (by_phases(s)) {
    return phase_limits(s, hours);
  }
  if (hours < 1) {
    return fmt::format(
        "{:.0f} minutes of data: the errors of orbits, clocks and reflections "
        "change over hours and have not averaged out",
        hours * 60);
  }
  if (!c.precise_orbits) {
    return "the broadcast orbits and clocks (about half a metre for each "
           "satellite) and the noise and reflections of code ranges";
  }
  return "noise and reflections of the code ranges, and the antenna, whose "
         "phase centre is not modelled";
}

std::string next_step(const solve::Solution& s, const LocateContext& c) {
  const double hours = (*s.last - *s.first).s / 3600;
  if (s.status == solve::SolveStatus::kNotConverged) {
    return "do not use this position; look at the reason above, then record "
           "longer under an open sky";
  }
  if (by_phases(s)) {
    return hours < 20 ? "usable with the stated uncertainty; a day of data "
                        "gives the best answer"
                      : "keep the record; repeat on other days and compare";
  }
  if (hours < 20) {
    return "good enough to start a station's log, not to broadcast: record 24 "
           "hours and locate again";
  }
  if (!c.precise_orbits) {
    return "when precise orbits of the day are out (a day or two later), run "
           "this again with --orbits";
  }
  return "this is about what code ranges give; centimetres and less need the "
         "carrier phases: --method ppp with orbits and clocks";
}

}  // namespace

std::string locate_text(const solve::Solution& s,
                        const LocateContext& context) {
  std::string out;
  const std::string name =
      context.marker_name.empty() ? "antenna" : context.marker_name;
  if (!s.position) {
    paragraph(out, name, "no position");
    paragraph(out, "Why", s.why);
    tell_excluded(out, s.counts);
    for (const auto& w : s.warnings) {
      paragraph(out, "Note", w.what);
    }
    return out;
  }
  paragraph(out,
            name.substr(0, kIndent - 1),
            s.status == solve::SolveStatus::kConverged
                ? by_phases(s) ? "located from carrier phases"
                               : "located from code ranges"
                : "NOT a position to rely on");
  if (s.status != solve::SolveStatus::kConverged) {
    paragraph(out, "Why", s.why);
  }
  tell_place(out, s);
  tell_data(out, s);
  tell_excluded(out, s.counts);
  paragraph(out, "Limited by", limits(s, context));
  paragraph(out, "Next", next_step(s, context));
  for (const auto& w : s.warnings) {
    paragraph(out, "Note", w.what);
  }
  if (!context.without.empty()) {
    std::string terms;
    for (const auto& term : context.without) {
      terms += (terms.empty() ? "" : ", ") + term;
    }
    paragraph(out, "Left out", terms);
  }
  paragraph(out,
            "Caution",
            "a coordinate for a reference station, not a survey certificate; "
            "not for safety of life");
  return out;
}

}  // namespace stillpoint::report

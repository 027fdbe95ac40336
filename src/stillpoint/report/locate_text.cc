#include "stillpoint/report/locate_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "stillpoint/report/locate_text_parts.h"
#include "stillpoint/report/paragraph.h"

namespace stillpoint::report {
namespace {

std::string phase_limits(const solve::Solution& s, double hours) {
  if (s.calibration != "full" && hours > 3) {
    return "the receiver antenna's calibration, which is " +
           std::string(s.calibration == "offset" ? "an offset alone"
                                                 : "not at hand") +
           ": the height first of all";
  }
  if (s.fixed && hours < 1) {
    return fmt::format(
        "{:.0f} minutes of data: reflections near the antenna and the air "
        "change over an hour and have not averaged out",
        hours * 60);
  }
  if (!s.fixed && hours < 12) {
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
  tell_place(out, s, s.status == solve::SolveStatus::kConverged ? s.why : "");
  tell_data(out, s, "arcs");
  tell_integers(out, s);
  tell_excluded(out, s.counts);
  paragraph(out, "Limited by", limits(s, context));
  paragraph(out, "Next", next_step(s, context));
  tell_notes(out, s, context);
  return out;
}

}  // namespace stillpoint::report

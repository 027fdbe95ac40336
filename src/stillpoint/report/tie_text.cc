#include "stillpoint/report/tie_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "stillpoint/report/locate_text_parts.h"
#include "stillpoint/report/paragraph.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using solve::SolveStatus;

double spread_m(const Cov3& covariance_m2) {
  return std::sqrt(
      std::max(0.0, covariance_m2[0] + covariance_m2[4] + covariance_m2[8]));
}

std::string stations(const TieContext& c) {
  std::string out;
  for (std::size_t i = 0; i < c.ties.size(); ++i) {
    if (i > 0) {
      out += i + 1 == c.ties.size() ? " and " : ", ";
    }
    out += name_of(c.ties[i]);
  }
  return out;
}

const char* integers_headline(const solve::Solution& s) {
  if (s.fixed) {
    return "ambiguities kept as integers";
  }
  return s.ambiguities_fixed > 0 ? "not every tie on integers"
                                 : "no integers kept";
}

void tell_tie(std::string& out, const TieContext& c, const TieReport& tie) {
  const solve::TieAnswer& a = tie.answer;
  const std::string label = "Tie";
  if (!has_vector(tie)) {
    paragraph(
        out,
        label,
        fmt::format("to {}: no vector; {}", name_of(tie), a.solution.why));
    return;
  }
  paragraph(out,
            label,
            fmt::format("to {}, {} away: {}",
                        name_of(tie),
                        distance_words(a.length_m),
                        a.handling.empty() ? a.solution.why : a.handling));
  paragraph(out,
            "",
            fmt::format("from there to here dX {:+.4f}  dY {:+.4f}  dZ {:+.4f} "
                        "m",
                        a.vector_m.x_m,
                        a.vector_m.y_m,
                        a.vector_m.z_m));
  const std::string integers = integers_words(a.solution);
  if (!integers.empty()) {
    paragraph(out, "", "integers: " + integers);
  }
  paragraph(out, "", known_words(tie));
  if (c.network && c.network->dof > 0 && tie.network) {
    paragraph(out, "", "off the adjusted position by " + residual_words(tie));
  }
}

}  // namespace

std::string distance_words(double m) {
  return m < 999.95 ? fmt::format("{:.1f} m", m)
                    : fmt::format("{:.1f} km", m / 1000);
}

std::string residual_words(const TieReport& tie) {
  if (!tie.network) {
    return {};
  }
  std::array<double, 3> mm{};
  std::ranges::transform(tie.network->residual_enu_m, mm.begin(), [](double m) {
    const double tenths = std::round(m * 1e4);
    return tenths == 0 ? 0 : tenths / 10;  // no minus before a zero
  });
  return fmt::format(
      "east {:+.1f}, north {:+.1f}, up {:+.1f} mm", mm[0], mm[1], mm[2]);
}

std::string known_words(const TieReport& tie) {
  const solve::KnownCoordinate& k = tie.known;
  std::string out = fmt::format("its coordinate is {}", tie.typed);
  out += k.frame.empty() ? ", frame not stated" : " in " + k.frame;
  if (k.epoch) {
    out += " at " + format_utc(*k.epoch);
  }
  if (tie.moved.moved_m >= 5e-5) {
    out += fmt::format(", moved by {} to the day of the data ({})",
                       fine_length(tie.moved.moved_m),
                       tie.moved.moved_by);
  }
  if (!k.sigma_m) {
    out += "; taken as exact, since no sigma was given";
  }
  return out;
}

std::string tie_limits(const solve::Solution& s, const TieContext& c) {
  if (c.network && !c.network->passed) {
    return "the known coordinates, which do not agree";
  }
  const bool exact = std::ranges::any_of(c.ties, [](const TieReport& tie) {
    return tie.network && !tie.known.sigma_m;
  });
  if (exact) {
    return "the known coordinate: its own uncertainty was not given (--known "
           "X,Y,Z,sX,sY,sZ), so that \"how sure\" speaks of the tie alone";
  }
  const bool known_first = std::ranges::any_of(c.ties, [](const auto& tie) {
    return tie.network && spread_m(tie.moved.covariance_m2) >
                              spread_m(tie.answer.covariance_m2);
  });
  if (known_first) {
    return "the known coordinate, which is less sure than the tie to it";
  }
  if (!s.fixed) {
    return "the ambiguities: not all ties stand on integers, and real numbers "
           "need hours of data";
  }
  constexpr double kFarM = 20'000;
  const bool far = std::ranges::any_of(c.ties, [](const TieReport& tie) {
    return tie.network && tie.answer.length_m > kFarM;
  });
  return far ? "the distance: air and ionosphere differ between the ends"
             : "reflections near the antennas at both ends, and their "
               "calibrations";
}

std::string tie_next_step(const solve::Solution& s, const TieContext& c) {
  if (c.network && !c.network->passed) {
    return "do not use this position; ask the owners of the known stations "
           "for the frame, the epoch and the point of their coordinates, and "
           "tie to one more known station";
  }
  const auto warned = [&s](std::string_view code) {
    return std::ranges::any_of(s.warnings,
                               [&](const auto& w) { return w.code == code; });
  };
  if (s.status != SolveStatus::kConverged && warned("antenna_moved")) {
    return "do not use this position; look at both antennas, then give the "
           "time before or after the move with --start and --end";
  }
  if (s.status != SolveStatus::kConverged && warned("known_position_differs")) {
    return "do not use this position; check the known coordinate, and that "
           "the files stand in their places: the station sought first, the "
           "known one behind --to";
  }
  if (s.status != SolveStatus::kConverged) {
    return "do not use this position; look at the reason above, then record "
           "longer under an open sky";
  }
  if (c.ties.size() == 1) {
    return "tie to a second known station as well: one alone cannot show that "
           "a known coordinate is wrong";
  }
  return "keep the record; repeat on another day and compare";
}

std::string tie_text(const solve::Solution& s, const TieContext& c) {
  std::string out;
  const std::string name =
      c.here.marker_name.empty() ? "antenna" : c.here.marker_name;
  if (!s.position) {
    paragraph(out, name.substr(0, kIndent - 1), "no position");
    paragraph(out, "Why", s.why);
    for (const TieReport& tie : c.ties) {
      tell_tie(out, c, tie);
    }
    tell_excluded(out, s.counts);
    for (const auto& w : s.warnings) {
      paragraph(out, "Note", w.what);
    }
    return out;
  }
  paragraph(out,
            name.substr(0, kIndent - 1),
            s.status == SolveStatus::kConverged
                ? fmt::format("tied to {} by carrier phases, {}",
                              stations(c),
                              integers_headline(s))
                : "NOT a position to rely on");
  if (s.status != SolveStatus::kConverged) {
    paragraph(out, "Why", s.why);
  }
  const bool settled = s.status == SolveStatus::kConverged;
  tell_place(out, s, settled && c.ties.size() == 1 ? s.why : "");
  for (const TieReport& tie : c.ties) {
    tell_tie(out, c, tie);
  }
  // Why stands at the top where it is the reason for doubt.
  const bool told = !settled && c.network && s.why == c.network->why;
  if (!told && c.network && c.network->dof > 0) {
    paragraph(out, "Network", c.network->why);
  }
  tell_data(out, s, "double-difference ambiguities");
  tell_excluded(out, s.counts);
  paragraph(out, "Limited by", tie_limits(s, c));
  paragraph(out, "Next", tie_next_step(s, c));
  tell_notes(out, s, c.here);
  return out;
}

}  // namespace stillpoint::report

// Which known coordinate is wrong, and how sure that is.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "stillpoint/core/check.h"
#include "stillpoint/solve/chi_square.h"
#include "stillpoint/solve/network_evidence.h"
#include "stillpoint/solve/network_parts.h"

namespace stillpoint::solve {
namespace {

// 2 ln 100: a suspect must be a hundred times likelier than the next.
const double kSuspectGap = 2 * std::log(100.0);

struct Ranking {
  std::size_t first = 0;  // the likeliest to be wrong
  double gap = 0;         // to the next, in minus twice the log likelihood
};

Ranking rank(const NetworkCase& c, bool with_evidence) {
  std::vector<double> cost(c.shifts.size());
  for (std::size_t i = 0; i < cost.size(); ++i) {
    cost[i] = -c.shifts[i].test + (with_evidence ? evidence_cost(c, i) : 0.0);
  }
  Ranking r;
  r.first = static_cast<std::size_t>(
      std::min_element(cost.begin(), cost.end()) - cost.begin());
  r.gap = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < cost.size(); ++i) {
    if (i != r.first) {
      r.gap = std::min(r.gap, cost[i] - cost[r.first]);
    }
  }
  return r;
}

// Whether the others agree without that station.
bool rest_agrees(const NetworkCase& c, std::size_t without) {
  return c.dof == 3 || c.chi2 - c.shifts[without].test <=
                           chi_square_limit(kFalseAlarms, c.dof - 3);
}

double sigma_m(const Eigen::Matrix3d& m2) {
  return std::sqrt(m2.trace() / 3);
}

// Of the station if the others are right.
std::string remark_of(const NetworkCase& c, std::size_t i) {
  const Eigen::Vector3d& s = c.shifts[i].shift_m;
  return national_remark(c,
                         i,
                         (*c.ties)[i].known_m - Ecef{s.x(), s.y(), s.z()},
                         sigma_m(c.shifts[i].covariance_m2));
}

// The only one of two whose shift is that of a national frame, unless the
// ranking makes the other one ten times likelier.
std::optional<std::size_t> by_frame(const NetworkCase& c, const Ranking& r) {
  const bool first = !remark_of(c, 0).empty();
  const bool second = !remark_of(c, 1).empty();
  if (first == second) {
    return std::nullopt;
  }
  const std::size_t found = first ? 0 : 1;
  if (found != r.first && r.gap > kSuspectGap / 2) {
    return std::nullopt;
  }
  return found;
}

// Whether all others are what a national frame would give them if this one is
// right: most stations of a network may come from the national survey. The
// first such remark.
std::string others_national(const NetworkCase& c, std::size_t right) {
  const KnownShift& s = c.shifts[right];
  std::string first;
  for (std::size_t i = 0; i < c.ties->size(); ++i) {
    if (i == right) {
      continue;
    }
    const Ecef place = (*c.ties)[i].known_m +
                       Ecef{s.shift_m.x(), s.shift_m.y(), s.shift_m.z()};
    std::string remark = national_remark(c, i, place, sigma_m(s.covariance_m2));
    if (remark.empty()) {
      return {};
    }
    if (first.empty()) {
      first = std::move(remark);
    }
  }
  return first;
}

// Without a conflict, or with one station: what its own position says.
std::string remarks_of_evidence(const NetworkCase& c) {
  std::string text;
  for (const KnownEvidence& e : *c.evidence) {
    const double limit = chi_square_limit(kFalseAlarms, 3);
    if (evidence_test(c, e) <= limit) {
      continue;
    }
    const std::string remark = national_remark(
        c,
        e.tie,
        e.position_m,
        sigma_m(usable_covariance(e.covariance_m2) + c.known_m2[e.tie]));
    text += "; the own position of ";
    text += (*c.ties)[e.tie].to;
    text += " (";
    text += e.method;
    text += ") is away from its known coordinate by ";
    text += size_text(to_eigen((*c.ties)[e.tie].known_m - e.position_m),
                      e.position_m);
    if (!remark.empty()) {
      text += "; ";
      text += remark;
    }
  }
  return text;
}

NetworkVerdict judge_conflict(const NetworkCase& c) {
  const bool pair = c.ties->size() == 2;
  bool evidence = !c.evidence->empty();
  Ranking r = rank(c, evidence);
  const bool contradicts = evidence && !evidence_agrees(c, r.first);
  if (contradicts) {
    evidence = false;
    r = rank(c, false);
  }
  NetworkVerdict out;
  std::string because;
  if (!rest_agrees(c, r.first)) {
    because =
        "without it the others still disagree: more than one of them is "
        "wrong, or the vectors' covariances are too small";
  } else if (r.gap >= kSuspectGap) {
    out.suspect = r.first;
    because =
        pair ? "by the stations' own positions" : "without it the others agree";
  } else if (pair) {
    out.suspect = by_frame(c, r);
    because = "by the frame it seems to be in";
  }
  const std::size_t named = out.suspect.value_or(r.first);
  out.why = conflict_text(c, named);
  // By the ties alone the majority is right; unless it has a common reason to
  // be wrong.
  if (!pair && out.suspect && !evidence) {
    const std::string common = others_national(c, named);
    if (!common.empty()) {
      out.suspect.reset();
      out.why +=
          "; without it the others agree, and all of them may be wrong "
          "together: ";
      out.why += common;
      return out;
    }
  }
  if (out.suspect) {
    fmt::format_to(std::back_inserter(out.why),
                   "; the coordinate of {} is suspected: {}",
                   (*c.ties)[named].to,
                   because);
  } else if (!because.empty() && !pair) {
    out.why += "; ";
    out.why += because;
  } else {
    out.why += pair ? "; the ties of two stations cannot tell which one is "
                      "wrong"
                    : "; which one is wrong cannot be told";
    out.why +=
        ", a further known station or own positions by precise orbits "
        "and clocks would tell";
  }
  if (!c.evidence->empty()) {
    out.why += "; ";
    out.why += evidence_text(c);
    out.why += contradicts ? ", which does not go together with the ties: one "
                             "of these positions is wrong as well"
                           : "";
  }
  for (std::size_t i = 0; i < c.ties->size(); ++i) {
    const bool asked = out.suspect ? i == *out.suspect
                       : pair      ? true
                                   : i == r.first;
    const std::string remark = asked ? remark_of(c, i) : std::string();
    if (!remark.empty()) {
      out.why += "; ";
      out.why += remark;
    }
  }
  return out;
}

}  // namespace

NetworkVerdict judge_network(const NetworkCase& c) {
  for (const KnownEvidence& e : *c.evidence) {
    STILLPOINT_CHECK(e.tie < c.ties->size());
  }
  if (!c.passed) {
    return judge_conflict(c);
  }
  NetworkVerdict out;
  out.why = c.dof == 0
                ? fmt::format(
                      "one known station, {}: no other holds its coordinate "
                      "to account",
                      c.ties->front().to)
                : fmt::format("the known coordinates of {} agree ({})",
                              names_text(*c.ties),
                              test_text(c));
  out.why += remarks_of_evidence(c);
  return out;
}

}  // namespace stillpoint::solve

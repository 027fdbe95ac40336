// Which arcs of a tie differ by whole cycles.
#include <algorithm>
#include <map>
#include <numeric>

#include "stillpoint/solve/joined_arcs.h"
#include "stillpoint/solve/tie_integers.h"

namespace stillpoint::solve {
namespace {

// An arc that lasts less of a long session, or less of a short one, is no
// candidate.
constexpr double kBriefS = 300, kBriefShare = 0.25;

bool may_hold(const TieSession& session,
              const TieAdjuster& adjuster,
              std::uint32_t arc) {
  const TieArc& a = session.arcs[arc];
  const double least_s = std::min(kBriefS, kBriefShare * session.span_s());
  return a.holdable && adjuster.has_ambiguity(arc) &&
         (a.last - a.first).s >= least_s;
}

}  // namespace

std::vector<std::uint32_t> arc_references(const TieSession& session,
                                          const TieAdjuster& adjuster) {
  const std::size_t arcs = session.arcs.size();
  JoinedArcs joined(arcs);
  std::vector<std::uint32_t> first(session.groups.size());
  std::vector<bool> any(session.groups.size());
  for (const TieEpoch& epoch : session.epochs) {
    any.assign(session.groups.size(), false);
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (const TieRow& r : session.rows_of(s)) {
        if (!r.phase_used()) {
          continue;
        }
        if (any[r.group]) {
          joined.join(r.arc, first[r.group]);
        } else {
          any[r.group] = true;
          first[r.group] = r.arc;
        }
      }
    }
  }
  std::vector<std::uint32_t> best(arcs);
  std::iota(best.begin(), best.end(), 0u);
  std::map<std::uint32_t, std::uint32_t> longest;  // by root
  for (std::uint32_t a = 0; a < arcs; ++a) {
    if (may_hold(session, adjuster, a)) {
      const auto [place, added] = longest.try_emplace(joined.root(a), a);
      if (!added && session.arcs[a].rows > session.arcs[place->second].rows) {
        place->second = a;
      }
    }
  }
  for (std::uint32_t a = 0; a < arcs; ++a) {
    if (may_hold(session, adjuster, a)) {
      best[a] = longest.at(joined.root(a));
    }
  }
  return best;
}

}  // namespace stillpoint::solve

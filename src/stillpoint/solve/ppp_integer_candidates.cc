#include <algorithm>

#include "stillpoint/solve/ppp_integers.h"

namespace stillpoint::solve {
namespace {

constexpr double kShortestS = 600, kShareOfSession = 0.8;

}  // namespace

std::vector<bool> integer_candidates(const PppSession& session,
                                     const PppWideLanes& lanes) {
  std::vector<bool> out(session.arcs.size(), false);
  std::vector<int> rows(session.arcs.size(), 0);
  std::vector<bool> beyond(session.arcs.size(), false);
  GnssTime first, last;
  bool any = false;
  for (const PppEpoch& epoch : session.epochs) {
    for (const PppRow& r : session.rows_of(epoch)) {
      if (!r.phase_used()) {
        continue;
      }
      first = any ? first : epoch.time;
      last = epoch.time;
      any = true;
      const PppArc& arc = session.arcs[r.arc];
      ++rows[r.arc];
      if (epoch.time < arc.first || arc.last < epoch.time) {
        beyond[r.arc] = true;
      }
    }
  }
  const double least_s =
      any ? std::min(kShortestS, kShareOfSession * (last - first).s) : 0;
  for (std::size_t a = 0; a < out.size(); ++a) {
    const PppArc& arc = session.arcs[a];
    out[a] = lanes.whole[a] && rows[a] > 1 && !beyond[a] &&
             (arc.last - arc.first).s >= least_s;
  }
  return out;
}

}  // namespace stillpoint::solve

#include "stillpoint/solve/ppp_arc_differences.h"

#include <array>

#include "stillpoint/solve/joined_arcs.h"

namespace stillpoint::solve {

std::vector<ArcDifference> arc_differences(
    const PppSession& session,
    const std::vector<bool>& free,
    const std::vector<double>& strength) {
  JoinedArcs joined(session.arcs.size());
  constexpr std::uint32_t kNone = ~0U;
  for (const PppEpoch& epoch : session.epochs) {
    std::array<std::uint32_t, kSystemCount> first;
    first.fill(kNone);
    for (const PppRow& r : session.rows_of(epoch)) {
      if (!r.phase_used() || !free[r.arc]) {
        continue;
      }
      std::uint32_t& with = first[static_cast<std::size_t>(r.sat.system)];
      if (with == kNone) {
        with = r.arc;
      } else {
        joined.join(with, r.arc);
      }
    }
  }
  std::vector<std::uint32_t> reference(session.arcs.size(), kNone);
  for (std::uint32_t a = 0; a < free.size(); ++a) {
    if (free[a]) {
      std::uint32_t& best = reference[joined.root(a)];
      if (best == kNone || strength[a] > strength[best]) {
        best = a;
      }
    }
  }
  std::vector<ArcDifference> out;
  for (std::uint32_t a = 0; a < free.size(); ++a) {
    if (free[a] && reference[joined.root(a)] != a) {
      out.push_back({a, reference[joined.root(a)]});
    }
  }
  return out;
}

}  // namespace stillpoint::solve

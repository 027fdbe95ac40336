// Which differences of ambiguities are whole numbers: satellites of one system
// that are seen together share what a receiver delays.
#pragma once

#include <cstdint>
#include <vector>

#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

// An arc's ambiguity less that of the reference arc of its group.
struct ArcDifference {
  std::uint32_t arc = 0, reference = 0;
};

// Groups are arcs of one system that hang together by epochs that they share;
// the reference of each is its strongest.
//
//   free       by arc: counts
//   strength   by arc: how much is known of it, in any unit
//   returns    in the order of the arcs, references left out
std::vector<ArcDifference> arc_differences(const PppSession& session,
                                           const std::vector<bool>& free,
                                           const std::vector<double>& strength);

}  // namespace stillpoint::solve

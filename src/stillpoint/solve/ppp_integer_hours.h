// Whether the phases of arcs that were fixed agree with their integers, hour by
// hour.
#pragma once

#include <cstdint>
#include <vector>

#include "stillpoint/solve/ppp_adjust.h"

namespace stillpoint::solve {

// Arcs whose phases stand apart from their integers for an hour: the worst, and
// those nearly as bad, since one draws others along. Empty: all agree.
//
//   adjuster   after refresh() with the integers held
//   fixed      by arc: held as an integer
//   source     our own limits: docs/integers.md, "What is accepted"
std::vector<std::uint32_t> arcs_apart(const PppSession& session,
                                      const PppAdjuster& adjuster,
                                      const PppNoise& noise,
                                      const TermSet& without,
                                      const std::vector<bool>& fixed);

}  // namespace stillpoint::solve

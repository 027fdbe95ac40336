// Own absolute positions of the known stations, held against their known
// coordinates.
#pragma once

#include <vector>

#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/tie_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/report/tie_context.h"
#include "stillpoint/solve/network.h"

namespace stillpoint::app {

// As `locate` has them; stations without a vector and positions that did not
// converge are left out. The index of a row counts the ties with a vector.
//
//   errors   of reading the observations again
Result<std::vector<solve::KnownEvidence>> gather_evidence(
    const TieArgs& args,
    const OrbitInputs& orbits,
    const report::TieContext& context,
    LocateMethod method);

// Warns of every known coordinate that its station's own position contradicts:
// by more than four sigmas of both east, north or up, and by more than 0.3 m;
// by more than 5 m where the frame is not a global one. One tie cannot show a
// coordinate that is wrong by less. A national frame that explains the
// difference is named. A tie whose known coordinate is that wrong is not to be
// relied on (kNotConverged) where it is by more than 100 m, or where that bends
// the vector itself by more than its sigma and 5 mm: a shift of both ends turns
// the lines of sight by shift over range.
//
//   frame    of the known coordinates
void compare_known(const std::vector<solve::KnownEvidence>& evidence,
                   const solve::NetworkFrame& frame,
                   report::TieContext& context);

}  // namespace stillpoint::app

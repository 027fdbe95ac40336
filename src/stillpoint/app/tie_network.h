// The ties of one start brought together: the known coordinates at one epoch,
// the adjustment, and evidence about the known stations where they disagree.
#pragma once

#include <vector>

#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/tie_args.h"
#include "stillpoint/app/tie_session.h"
#include "stillpoint/core/result.h"
#include "stillpoint/report/tie_context.h"

namespace stillpoint::app {

// Everything but LocateContext's inputs, version and terms left out.
//
//   sessions  one for each of args.to; their series are moved out
//   errors    those of solve::move_known(), and of reading the observations of
//             known stations again for evidence
Result<report::TieContext> adjust_ties(const TieArgs& args,
                                       const OrbitInputs& orbits,
                                       std::vector<TieSession> sessions);

}  // namespace stillpoint::app

// Epochs of both ends into the rows of a tie.
#pragma once

#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/solution.h"
#include "stillpoint/solve/tie_rows.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve {

// Appends what both observed; the models have not run then.
void collect_tie(const Epoch& here,
                 const Epoch& there,
                 const OrbitSource& orbits,
                 const TieOptions& options,
                 TieSession& session,
                 Counts& counts);

// Usual step between epochs [s].
double usual_interval_s(const TieSession& session);

// Drops every second epoch.
void thin(TieSession& session);

}  // namespace stillpoint::solve

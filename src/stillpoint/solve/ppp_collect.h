// From an epoch's observations to rows of the phase solution.
#pragma once

#include <cstddef>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

// Appends an epoch's satellites that have code and phase on two frequencies.
// The phases are chosen by band and a fixed order of attributes, whatever the
// codes are, so that an arc keeps its signals.
//
//   counts   epochs_seen and what was left out, by reason
void collect(const Epoch& epoch,
             const OrbitSource& orbits,
             const PppOptions& options,
             PppSession& session,
             Counts& counts);

// The step between epochs that occurs most [s]; 30 for fewer than two.
double usual_interval_s(const PppSession& session);

// Keeps every second epoch of what is stored.
void thin(PppSession& session);

}  // namespace stillpoint::solve

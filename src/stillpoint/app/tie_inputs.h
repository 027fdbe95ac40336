// Files of `tie` read into what the solver takes.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/tie_args.h"
#include "stillpoint/core/result.h"

namespace stillpoint::app {

// All observation files, here and there.
std::vector<std::string> all_observations(const TieArgs& args);

// As read_orbits(), with the antennas of both ends, and with the aids of
// precise orbits beside broadcast ones too: the patterns of the receivers'
// antennas count there as well.
Result<OrbitInputs> read_tie_inputs(const TieArgs& args);

}  // namespace stillpoint::app

// Observation files of one receiver, in time order, fed into a solver.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/app/locate_args.h"
#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/code_solver.h"
#include "stillpoint/solve/ppp_solver.h"

namespace stillpoint::app {

struct LocateSession {
  rinex::ObservationHeader header;  // of the first file
  solve::Solution solution;
  solve::PppSeries series;  // of the phases; empty for the codes
};

//   errors   kMixedInput when the files are of different markers or antenna
//            set-ups; what reading an observation file reports
Result<LocateSession> locate_session(const LocateArgs& args,
                                     const OrbitInputs& orbits);

}  // namespace stillpoint::app

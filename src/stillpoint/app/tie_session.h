// The observations of two stations, in step, fed into the solver of a tie.
#pragma once

#include <cstddef>
#include <optional>

#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/tie_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/ppp_series.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::app {

struct TieSession {
  rinex::ObservationHeader here, there;  // of the first files
  // Failed, and says why, where there were no common epochs.
  solve::TieAnswer answer;
  solve::PppSeries series;
};

// The known coordinate is taken at the first common epoch; what it moves
// during the session does not matter to the vector.
//
//   target   index of args.to
//   errors   kMixedInput when the files of one station do not go together, or
//            both stations are the same; those of solve::move_known(); what
//            reading an observation file reports
Result<TieSession> tie_session(const TieArgs& args,
                               std::size_t target,
                               const OrbitInputs& orbits);

}  // namespace stillpoint::app

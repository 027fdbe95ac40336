// Observed minus computed differences of a tie about a reference position.
#pragma once

#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/ppp_antennas.h"
#include "stillpoint/solve/solution.h"
#include "stillpoint/solve/tie_rows.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve {

struct TieModelLog {
  Calibration here = Calibration::kNone, there = Calibration::kNone;
  std::string here_stand_in, there_stand_in;
  bool other_bands = false;
  double zenith_delay_m = 0;  // a priori, here, middle epoch
};

// Beyond this distance the ends see a satellite from directions that differ
// enough for its antenna, its turning, the Earth's yielding and the delay by
// the Earth's mass to matter (0.1 mm at 10 km).
inline constexpr double kTieFarM = 10'000;

// Fills directions, mapping, phase_m and code_m of every row about
// session.reference_m, and says which sights have a model.
//
//   counts   what was left out, by reason, is added to it
TieModelLog compute_tie(const OrbitSource& orbits,
                        const TieOptions& options,
                        TieSession& session,
                        Counts& counts);

// A first position of the marker here from the codes, within some metres;
// false when they do not give one.
//
//   source   least squares of code differences, iterated from the other end
bool start_tie(const OrbitSource& orbits,
               const TieOptions& options,
               TieSession& session);

}  // namespace stillpoint::solve

// Observed minus computed of every row about a reference position: all the
// corrections of the phase solution in one place.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/models/troposphere.h"
#include "stillpoint/solve/ppp_antennas.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

// What the models said about themselves.
struct PppModelLog {
  double zenith_delay_m = 0;  // a priori, hydrostatic and wet
  double zenith_wet_m = 0;
  int unknown_biases = 0;   // rows with a code bias that no product states
  int without_antenna = 0;  // rows of satellites without any offset
  std::vector<SatId> no_antenna, offset_only, other_day;  // satellites
  std::vector<std::string> calibration_models;
  bool earth_missing = false;  // pole tide without orientation
  bool other_bands = false;
  Calibration receiver = Calibration::kNone;
  std::string receiver_stand_in;
  double days_off = 0;  // largest, of other_day
};

// Fills code_m, phase_m, directions and mapping of every row about
// session.reference, and marks rows without a model or under the mask.
//
//   counts   what was left out, by reason, is added to it
PppModelLog compute_rows(const OrbitSource& orbits,
                         const PppOptions& options,
                         PppSession& session,
                         Counts& counts);

// A place within some ten metres of the antenna from the codes of a few epochs;
// nothing when there is none.
//
//   epochs_tried   how many epochs had satellites enough for a position
std::optional<Ecef> rough_position(const OrbitSource& orbits,
                                   const PppOptions& options,
                                   const PppSession& session,
                                   int* epochs_tried);

}  // namespace stillpoint::solve

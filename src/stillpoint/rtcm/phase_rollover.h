// Phases of the older messages joined over their roll-overs.
#pragma once

#include <array>
#include <cstdint>

#include "stillpoint/gnss/satellite.h"

namespace stillpoint::rtcm {

// The older messages send phase minus code in a field that holds some 1500
// cycles; where it would overflow, the sender adds or takes off 1500 cycles and
// goes on, the lock unbroken. Undoes that: phase and code cannot drift apart by
// half as much between two epochs.
//
//   source   RTCM 10403.3, notes on DF012 and DF018, from memory
class PhaseRollover {
 public:
  // The phase as it goes on from the signal's epoch before.
  //
  //   band_slot   0 for L1, 1 for L2
  //   code_cyc    the code in cycles of the same carrier
  //   new_arc     the lock may have been lost: begins afresh
  double joined(SatId sat,
                std::size_t band_slot,
                double phase_cyc,
                double code_cyc,
                bool new_arc);

 private:
  struct Arc {
    double ahead_cyc = 0;  // phase minus code, joined, of the last epoch
    double added_cyc = 0;
    bool known = false;
  };
  std::array<std::array<Arc, 2>, SatId::kIndexCount> arcs_{};
};

}  // namespace stillpoint::rtcm

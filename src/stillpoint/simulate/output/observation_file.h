// Headers of a simulated receiver's RINEX files.
#pragma once

#include <string>

#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/simulate/receiver/receiver.h"

namespace stillpoint::simulate {

// Header of its observation file: every signal's code, phase, Doppler and
// C/N0.
//
//   last      time of the last epoch
rinex::ObservationHeader observation_header(const Sky& sky,
                                            const ReceiverScenario& receiver,
                                            GnssTime first,
                                            GnssTime last);

}  // namespace stillpoint::simulate

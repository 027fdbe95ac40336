// MSM signal numbers and RINEX codes.
#pragma once

#include <optional>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"

namespace stillpoint::rtcm {

// RINEX code of a signal number 1 .. 32; empty for one that the tables leave
// reserved.
//
//   source   RTCM 10403.3 signal mask tables as two independent decoders have
//            them (shared checks, msm_signals.csv: 64 rows in both); BeiDou
//            22 to 25 and 30 to 32 and NavIC 22 are of later amendments, in
//            one of them only
SignalCode msm_signal(System system, unsigned number);

// The reverse; nothing for a code that MSM cannot carry.
std::optional<unsigned> msm_signal_number(System system, SignalCode signal);

// Satellite of a mask position 1 .. 64, and the reverse: SBAS 1 is PRN 120
// (S20), QZSS 1 is PRN 193 (J01), the others count from 1.
SatId msm_satellite(System system, unsigned position);
std::optional<unsigned> msm_satellite_position(SatId sat);

}  // namespace stillpoint::rtcm

// Every part of a simulated observation, as it went in. All in metres of
// range unless the name says otherwise; a part that the world lacks is 0.
#pragma once

#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Of a satellite, the same for all its signals.
struct SatelliteTerms {
  SatId sat;
  AzEl direction;
  double range_m = 0;  // centre of mass at sending to the antenna at reception
  double satellite_clock_m = 0;  // c times it, relativity included; subtract
  double relativity_m = 0;       // the periodic part of it
  double shapiro_m = 0;
  double hydrostatic_m = 0, wet_m = 0, gradient_m = 0;
  double slant_tecu = 0;
  double satellite_antenna_m = 0;  // offset and variation
  double wind_up_cyc = 0;
  double range_rate_mps = 0;
  // In no observation: by what a range from the precise orbits is too long, and
  // c times the precise clock minus the true one.
  double product_orbit_m = 0, product_clock_m = 0;
};

// Of a signal.
struct SignalTerms {
  SatId sat;
  SignalCode signal;
  double ionosphere_m = 0;  // add to code, take from phase
  double antenna_m = 0;     // receiver's, offset and variation
  double satellite_code_m = 0, satellite_phase_cyc = 0;
  double receiver_code_m = 0, receiver_phase_cyc = 0;
  double code_multipath_m = 0, phase_multipath_m = 0;
  double code_noise_m = 0, phase_noise_m = 0;
  double scintillation_m = 0;  // of the phase
  double ambiguity_cyc = 0;    // half cycles too
  double cn0_dbhz = 0;         // before rounding
  bool slipped = false;        // since the epoch before, flagged or not
};

// An epoch's truth.
struct EpochTerms {
  GnssTime time;       // the receiver's reading
  double true_s = 0;   // scenario time, GPST
  double clock_s = 0;  // the receiver's
  Ecef arp_m;
  Ecef tide_m, loading_m;
  Enu moved_m;
  double zenith_hydrostatic_m = 0, zenith_wet_m = 0;
  std::vector<SatelliteTerms> satellites;
  std::vector<SignalTerms> signals;
};

}  // namespace stillpoint::simulate

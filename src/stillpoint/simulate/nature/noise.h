// Strength of the received signals and what noise does to the measurements.
#pragma once

namespace stillpoint::simulate {

// A receiver's loops for one signal.
struct TrackingLoops {
  double chip_m = 293.05;      // length of a code chip
  double spacing_chips = 0.1;  // early to late
  double code_bandwidth_hz = 0.25;
  double phase_bandwidth_hz = 15;
  double integration_s = 0.02;
};

// Standard deviation of the code [m]: early-late loop with power
// discriminator.
//
//   cn0_dbhz  10 .. 70
//   source    Kaplan & Hegarty, "Understanding GPS" (2nd edition, 2006), eq.
//             5.23 (from memory)
double code_sigma_m(const TrackingLoops& loops, double cn0_dbhz);

// Standard deviation of the phase [rad]: loop with a squaring (Costas)
// discriminator.
//
//   source    Kaplan & Hegarty, eq. 5.8 (from memory)
double phase_sigma_rad(const TrackingLoops& loops, double cn0_dbhz);

// Gain of an open-sky antenna over its gain at the zenith.
struct AntennaGain {
  double horizon_db = -9;  // at 0 degrees
  double nadir_db = -25;   // from straight below
};

// Gain [dB] at an elevation, [-pi/2, pi/2]: smooth, 0 at the zenith.
double gain_db(const AntennaGain& gain, double elev_rad);

// Carrier to noise density [dB-Hz] under an open sky.
//
//   zenith_dbhz  at the zenith, 48 .. 54 usually
double open_sky_cn0_dbhz(double zenith_dbhz,
                         const AntennaGain& gain,
                         double elev_rad);

}  // namespace stillpoint::simulate

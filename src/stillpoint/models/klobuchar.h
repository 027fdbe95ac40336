// The ionosphere from eight broadcast parameters: GPS's model (also QZSS and
// NavIC) and BeiDou's D1/D2 model. They remove about half of the delay.
#pragma once

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

inline constexpr double kKlobucharHz = 1'575'420'000.0;        // L1
inline constexpr double kBeidouKlobucharHz = 1'561'098'000.0;  // B1I

// The steps of the GPS model, in its own units, for tests and for teaching.
struct KlobucharTerms {
  double earth_angle_semi = 0;   // psi, semicircles
  double pierce_lat_semi = 0;    // phi_i
  double pierce_lon_semi = 0;    // lambda_i
  double magnetic_lat_semi = 0;  // phi_m
  double local_time_s = 0;       // [0, 86400)
  double slant_factor = 1;       // F
  double amplitude_s = 0;        // AMP
  double period_s = 0;           // PER
  double phase_rad = 0;          // x
  double delay_s = 0;            // on L1
};

// The GPS model.
//
//   parameters   alpha, beta in seconds per power of a semicircle, as sent
//   direction    elevation below the horizon is taken as 0
//   t            any; the model sees GPS time of day
//   source       IS-GPS-200, 20.3.3.5.2.5
//   accuracy     1e-6 m against shared checks 3.4; of the model: about half of
//                the delay remains (from memory)
//   threads      pure
KlobucharTerms klobuchar_terms(const Klobuchar& parameters,
                               const Geodetic& receiver,
                               const AzEl& direction,
                               GnssTime t);

// Delay of the code on a frequency; the phase is advanced by as much.
//
//   frequency_hz  carrier; the L1 delay is scaled by (L1 / f)^2
//   returns       [m], >= 1.5 (the night value) on L1
double klobuchar_delay_m(const Klobuchar& parameters,
                         const Geodetic& receiver,
                         const AzEl& direction,
                         GnssTime t,
                         double frequency_hz = kKlobucharHz);

// BeiDou's model for its own eight parameters (messages D1 and D2). The GPS
// one with other geometry: latitude of the pierce point is geographic, the
// Earth's radius 6378 km, the shell at 375 km, exact mapping, BDT time of day.
//
//   direction     elevation below the horizon is taken as 0
//   returns       [m] on frequency_hz, scaled from B1I
//   source        BDS-SIS-ICD B1I, 5.2.4.7; from memory
//   accuracy      of the model as GPS's; not checked against published numbers
double beidou_klobuchar_delay_m(const Klobuchar& parameters,
                                const Geodetic& receiver,
                                const AzEl& direction,
                                GnssTime t,
                                double frequency_hz = kBeidouKlobucharHz);

}  // namespace stillpoint::models

// The second generation of BeiDou satellites (C06 to C16, not the
// geostationary ones) sends codes whose delay depends on the direction in
// which they leave the satellite, by a metre or more. The third generation
// does not.
#pragma once

#include "stillpoint/gnss/satellite.h"

namespace stillpoint::models {

// What to add to the observed code.
//
//   sat            0 for any other than C06 .. C16
//   band           '2' (B1I), '7' (B2I), '6' (B3I); 0 for others
//   elevation_rad  at the receiver, clamped to 0 .. pi/2
//   returns        [m], -0.71 .. 1.05, linear between the table's 10 degrees
//   accuracy       0.1 m of the real effect (from memory)
//   source         L. Wanninger, S. Beer, "BeiDou satellite-induced code
//                  pseudorange variations: diagnosis and therapy", GPS Solut.
//                  19 (2015) 639, doi:10.1007/s10291-014-0423-3, table of
//                  corrections for IGSO and MEO; values from memory, effect and
//                  sign confirmed on real data (docs/validation.md)
//   threads        pure
double beidou_code_correction_m(SatId sat, char band, double elevation_rad);

}  // namespace stillpoint::models

// How the wet delay differs from place to place: humid and dry air in patches
// of all sizes, carried along by the wind.
#pragma once

#include "stillpoint/simulate/nature/random.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Zenith wet delay against that of its surroundings [m], a function of place
// and time with mean 0. Waves of 4 to 1024 km in octaves, six directions each,
// whose sizes grow with the cube root of their lengths; all of it moves with
// the wind of its key, 10 m/s.
//
//   key       which field
//   apart_m   one sigma of the difference of two places 10 km apart [m]
//   east_m, north_m   of any origin that stays the same
//   returns   differences whose sigma grows with the cube root of the distance
//             (0.45 of apart_m at 1 km, 1.6 at 40 km)
//   source    the cube root: layers of turbulence that are thinner than the
//             distance (2/3 power of the structure function), from memory;
//             sizes: common practice, no source
//   threads   pure
double wet_field_m(const RandomKey& key,
                   double apart_m,
                   double east_m,
                   double north_m,
                   GnssTime t);

}  // namespace stillpoint::simulate

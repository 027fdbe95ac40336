// A world's elements as a broadcast set has them at its reference time.
#pragma once

#include "stillpoint/simulate/sky/orbit.h"

namespace stillpoint::simulate {

// The same orbit with t_s as its time 0.
Elements elements_at(const Elements& elements, double t_s);

// Of a geostationary satellite: in axes that coincide with the Earth's at t_s,
// turned by 5 degrees about x, as BeiDou's D2 sets are. Only for elements
// without rates and harmonics, which such a turn would not leave alone.
//
//   source  BDS-SIS-ICD B1I 5.2.4.12
Elements tilted_elements(const Elements& elements, double t_s);

}  // namespace stillpoint::simulate

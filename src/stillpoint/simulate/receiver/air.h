// The troposphere over a receiver as it changes.
#pragma once

#include "stillpoint/simulate/nature/troposphere.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate {

// The same over all receivers of a world but for their heights. Pressure (7 hPa
// about the scenario's mean, staying for days), the hydrostatic mapping
// coefficient (1 % about 0.00125, staying for a day), wet delay and gradients
// differ by seed, each with random numbers of its own.
//
//   source   sizes: common practice, no source (from memory)
Atmosphere air_over(const Scenario& scenario,
                    const Geodetic& place,
                    double t_s);

}  // namespace stillpoint::simulate

// The troposphere over a receiver as it changes.
#pragma once

#include "stillpoint/simulate/nature/troposphere.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate {

// Pressure (7 hPa about the scenario's mean, staying for days), the hydrostatic
// mapping coefficient (1 % about 0.00125, staying for a day), wet delay and
// gradients differ by seed, each with random numbers of its own. Other places
// than the first receiver's have its weather, and pressure by height; their wet
// delay falls with height (to 1/e over 2 km, 15 % more or less, staying for six
// hours) and differs by the scenario's wet_apart_m (nature/wet_field.h).
// Gradients are the same everywhere.
//
//   source   sizes: common practice, no source (from memory)
Atmosphere air_over(const Scenario& scenario,
                    const Geodetic& place,
                    double t_s);

}  // namespace stillpoint::simulate

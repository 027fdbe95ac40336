// The troposphere over a receiver as it changes.
#pragma once

#include "stillpoint/simulate/nature/troposphere.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate {

// The same over all receivers of a world but for their heights.
Atmosphere air_over(const Scenario& scenario,
                    const Geodetic& place,
                    double t_s);

}  // namespace stillpoint::simulate

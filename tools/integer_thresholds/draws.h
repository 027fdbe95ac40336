// Draws of float values whose true integers are zero, and what they tell.
#pragma once

#include <cstdint>

#include "geometry.h"
#include "stillpoint/math/integer_lattice.h"

namespace integer_thresholds {

// The lattice scaled so that its bound of failure is the given one.
stillpoint::math::IntegerLattice scaled_to(
    stillpoint::math::IntegerLattice lattice, double failure);

// z = L^T sqrt(D) e with standard normal e.
Eigen::VectorXd draw(Random& random,
                     const stillpoint::math::IntegerLattice& lattice);

// Upper end of the one-sided 95 % interval of Clopper and Pearson for a rate,
// by `wrong` of `draws` (Biometrika 26 (1934) 404-413).
double upper_rate(std::int64_t wrong, std::int64_t draws);

}  // namespace integer_thresholds

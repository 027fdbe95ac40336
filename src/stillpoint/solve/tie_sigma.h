// How sure a tie is: errors with a memory, and the antennas' calibration.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <vector>

#include "stillpoint/solve/ppp_antennas.h"
#include "stillpoint/solve/tie_adjust.h"

namespace stillpoint::solve {

// Covariance of the coordinates [m^2], ECEF: from how each observation moves
// them, summed over all pairs of epochs of a satellite and group.
//
//   length_m  between the ends; far ones share less of what orbits are wrong by
//   source   docs/integers.md: which errors last how long, and how their sizes
//            were found
Eigen::Matrix3d tie_covariance(
    const TieSession& session,
    const std::vector<TieAdjuster::Influence>& influences,
    const TieNoise& noise,
    const TieAir& air,
    double length_m,
    const TermSet& without);

// One sigma of slow errors that grow with the distance, at the zenith [m].
double far_slow_m(double length_m);

// One sigma that orbits add, east, north, up [m]: their error in proportion of
// the distance to the satellites' height; half of it averages out horizontally.
//
//   source   broadcast orbits 1 m, precise 3 cm (common practice, no source);
//            the shares were compared with ties of 300 and 600 km in the
//            simulated world (docs/integers.md)
std::array<double, 3> orbit_sigma_enu_m(double length_m, bool broadcast);

// One sigma that the antennas' calibrations add, east, north, up [m].
//
//   same_type   the same antenna and radome at both ends, the same calibration
//   free        the ionosphere-free combination, which makes three of one
//   source      our judgement, docs/integers.md
std::array<double, 3> tie_calibration_sigma_enu_m(Calibration here,
                                                  Calibration there,
                                                  bool same_type,
                                                  bool free,
                                                  double elevation_mask_rad);

}  // namespace stillpoint::solve

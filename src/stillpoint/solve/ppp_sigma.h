// How sure: the covariance that errors with a memory give a position, from
// how each observation moves it.
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "stillpoint/solve/ppp_adjust.h"
#include "stillpoint/solve/ppp_noise.h"
#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

// How the residuals' memory was found to be, phases and codes: the share of
// the variance that lasts for some minutes.
struct PppMemory {
  double phase_share = 0.5, code_share = 0.5;
  // The ambiguities are whole numbers: slow errors move the position then as
  // ranges do (docs/sigma.md, "With integers").
  bool integers = false;
};

// From the correlation of each satellite's residuals with those a little
// later, pooled over all. Short sessions keep the usual shares.
PppMemory estimate_memory(const PppSession& session,
                          const PppNoise& noise,
                          const TermSet& without);

// Covariance of the coordinates [m^2], ECEF, summed over all pairs of epochs
// of a satellite.
//
//   influences   by row, of PppAdjuster
//   source       docs/sigma.md: which errors last how long, and how their
//                sizes were found from the sub-sessions of several stations,
//                one rule for all
Eigen::Matrix3d covariance_with_memory(
    const PppSession& session,
    const std::vector<PppAdjuster::Influence>& influences,
    const PppNoise& noise,
    const PppMemory& memory,
    const TermSet& without);

}  // namespace stillpoint::solve

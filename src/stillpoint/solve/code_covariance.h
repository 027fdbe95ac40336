// Honest covariance of a code position: errors of code ranges stay alike for
// minutes (multipath) and hours (orbits, clocks), so a day of epochs is worth
// far fewer independent ones. docs/sigma.md states the rule and its record.
#pragma once

#include <Eigen/Dense>
#include <span>

#include "stillpoint/solve/code_adjust.h"
#include "stillpoint/solve/code_rows.h"

namespace stillpoint::solve {

// How a row's variance splits by how long the error lasts; the rest of
// fast + slow to one is independent from epoch to epoch. What lasts longer is
// the satellite's constant.
struct ErrorMemory {
  double fast = 0.3;  // exponential memory of kFastS
  double slow = 0.3;  // exponential memory of kSlowS
};
inline constexpr double kFastS = 200;   // multipath of a fixed antenna
inline constexpr double kSlowS = 5400;  // orbits, clocks, slow multipath
inline constexpr double kLeastSlow = 0.1;

// Estimates the split from the residuals' autocorrelation, satellite by
// satellite, pooled. Sessions shorter than two hours keep the defaults.
ErrorMemory estimate_memory(const CodeSession& session,
                            const ErrorModel& model,
                            const Estimate& estimate);

// Epochs worth one independent one: variance of a mean over its white value.
double repetition_of(const CodeSession& session, const ErrorMemory& memory);

// Share of a modelled ionosphere delay that remains, common to all satellites
// for hours. From memory: broadcast models remove about half.
inline constexpr double kIonosphereShare = 0.4;

// Covariance [m^2] of the unknowns from a run of epochs: every row's effect
// on them, summed over all pairs of epochs of a satellite by the memory of its
// errors, plus the effects of the priors and of the ionosphere model.
//
//   source   sandwich covariance: Huber, "The behavior of maximum likelihood
//            estimates under nonstandard conditions" (1967) (from memory);
//            memory: first-order Gauss-Markov processes
Eigen::Matrix4d session_covariance(const CodeSession& session,
                                   std::span<const CodeEpoch> epochs,
                                   const ErrorModel& model,
                                   const ErrorMemory& memory,
                                   const Estimate& estimate);

// Covariance of one epoch's position, ECEF [m^2].
Eigen::Matrix3d epoch_covariance(const EpochFix& fix, double zenith_sigma_m);

}  // namespace stillpoint::solve

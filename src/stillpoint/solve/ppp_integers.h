// Ambiguities of the phase solution as whole numbers: which arcs can have them,
// which combinations are certain enough, and whether the phases agree with them
// hour by hour.
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/solve/ppp_adjust.h"
#include "stillpoint/solve/ppp_wide_lane.h"

namespace stillpoint::solve {

struct PppIntegers {
  bool fixed = false;      // the estimate stands on integers
  std::string from;        // Solution::integers_from
  std::string why_not;     // where they were looked for and not kept
  std::vector<bool> arcs;  // kept as integers
  std::optional<double> ratio;
  int released = 0;  // arcs that were tried and given up
};

// Arcs whose ambiguities are worth trying: long enough, with a safe wide lane,
// all of their phases between the arc's ends.
std::vector<bool> integer_candidates(const PppSession& session,
                                     const PppWideLanes& lanes);

// Tries integers on the estimate of a run() that kept the candidates. Where
// they are accepted, the estimate stands on them; else it is as it was.
//
//   failure_rate   that the integers may have, as math::IntegerPolicy has it
//   float_m2       honest covariance of the position in `estimate` [m^2], ECEF
//   source         docs/integers.md, "The phase position"
PppIntegers fix_arcs(const PppSession& session,
                     const PppWideLanes& lanes,
                     const std::vector<bool>& candidates,
                     const PppNoise& noise,
                     const TermSet& without,
                     double failure_rate,
                     const Eigen::Matrix3d& float_m2,
                     PppAdjuster& adjuster,
                     PppEstimate& estimate);

}  // namespace stillpoint::solve

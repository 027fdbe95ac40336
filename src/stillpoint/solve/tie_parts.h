// Whether the vector stayed the same while it was observed.
#pragma once

#include <optional>

#include "stillpoint/solve/tie_adjust.h"
#include "stillpoint/solve/tie_integers.h"

namespace stillpoint::solve {

// Where the session falls into two whose vectors differ.
struct TieMove {
  GnssTime from;          // first epoch behind it
  Eigen::Vector3d off_m;  // behind minus before, east, north, up
  double sigmas = 0;      // on the axis where it is most
};

// Adjusts once more with a position for every part of the session: halves of
// twenty minutes and more, quarters of two hours and more; whole ambiguities
// are kept, others are the same for all parts. An antenna that was moved lies
// in between for the session as a whole, with residuals that show little of it.
//
//   adjuster     of the session; what it held is gone afterwards
//   estimate     of the whole, with its ambiguities
//   honest_m2    covariance of the whole, ECEF; parts are as much less sure
//   than
//                their formal covariance says
//   returns      the seam that stands out most, by more than four sigmas and
//                5 mm on an axis (our judgement: four honest sigmas are not
//                exceeded by chance)
std::optional<TieMove> find_move(TieAdjuster& adjuster,
                                 const TieSession& session,
                                 const TermSet& without,
                                 const TieNoise& noise,
                                 const TieAir& air,
                                 const TieIntegers& integers,
                                 const TieEstimate& estimate,
                                 const Eigen::Matrix3d& honest_m2);

}  // namespace stillpoint::solve

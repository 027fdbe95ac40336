// Which whole numbers the ambiguities of a tie are held at.
#pragma once

#include <vector>

#include "stillpoint/math/integer_fix.h"
#include "stillpoint/solve/tie_adjust.h"

namespace stillpoint::solve {

struct TieIntegers {
  std::vector<TieHold> holds;
  std::vector<bool> fixed;  // by arc: its difference to its reference is whole
  std::vector<std::uint32_t> reference;  // by arc; itself: a reference, or none
  math::IntegerFix fix;
  // Squared norm of what the held combinations were off by, over their number:
  // about one where the noise is what it was taken for.
  double misfit = 0;
  // How far the position moves by the hold, and what it may move by: the
  // covariance of the float solution's ambiguities, slow errors included.
  Eigen::Vector3d shift_m = Eigen::Vector3d::Zero();
  Eigen::Matrix3d room_m2 = Eigen::Matrix3d::Zero();
};

// References of the arcs: arcs of a group that share epochs, or are joined by
// others that do, differ by whole cycles; the one with the most rows stands
// for each set. Arcs that may not be integers, and those alone in their set,
// have themselves.
std::vector<std::uint32_t> arc_references(const TieSession& session,
                                          const TieAdjuster& adjuster);

// Searches the integers of the differences between arcs and their references;
// arcs that stand apart from whole numbers while the others agree may not be
// integers any more, and the rest is searched again.
//
//   adjuster   after run(), before hold()
TieIntegers search_integers(TieSession& session,
                            const TieAdjuster& adjuster,
                            double failure_rate);

// Tests every held arc hour by hour against the fixed solution's residuals;
// arcs that disagree may not be integers any more.
//
//   returns   how many were released
int release_wrong(TieSession& session,
                  const TieIntegers& integers,
                  const TieNoise& noise,
                  const TermSet& without);

}  // namespace stillpoint::solve

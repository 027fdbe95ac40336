#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

const char* status_name(SolveStatus s) {
  switch (s) {
    case SolveStatus::kConverged:
      return "converged";
    case SolveStatus::kNotConverged:
      return "not_converged";
    case SolveStatus::kFailed:
      return "failed";
  }
  return "failed";
}

const char* exclusion_name(Exclusion e) {
  switch (e) {
    case Exclusion::kNoOrbit:
      return "no_orbit";
    case Exclusion::kUnhealthy:
      return "unhealthy";
    case Exclusion::kBelowMask:
      return "below_mask";
    case Exclusion::kNoSignalPair:
      return "no_signal_pair";
    case Exclusion::kOutlier:
      return "outlier";
    case Exclusion::kTooFew:
      return "too_few_satellites";
    case Exclusion::kSystemOff:
      return "system_off";
    case Exclusion::kNoAntenna:
      return "no_antenna";
    case Exclusion::kShortArc:
      return "short_arc";
  }
  return "system_off";
}

}  // namespace stillpoint::solve

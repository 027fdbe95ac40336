// Exit codes of the program. New ones may come; unknown means failure.
#pragma once

#include "stillpoint/core/result.h"

namespace stillpoint::app {

inline constexpr int kExitGood = 0;
inline constexpr int kExitNo = 1;  // answered "no": not converged, check failed
inline constexpr int kExitUsage = 2;
inline constexpr int kExitInput = 3;
inline constexpr int kExitSystem = 4;

constexpr int exit_code_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::kUsage:
      return kExitUsage;
    case ErrorCode::kInternal:
      return kExitSystem;
    default:
      return kExitInput;
  }
}

}  // namespace stillpoint::app

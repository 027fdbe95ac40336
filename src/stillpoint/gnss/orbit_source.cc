#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint {

const char* no_state_name(NoState reason) {
  switch (reason) {
    case NoState::kUnknownSatellite:
      return "unknown_satellite";
    case NoState::kOutsideValidity:
      return "outside_validity";
    case NoState::kUnhealthy:
      return "unhealthy";
    case NoState::kNoClock:
      return "no_clock";
  }
  return "unknown_reason";
}

}  // namespace stillpoint

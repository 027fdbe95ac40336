#include "stillpoint/ntrip/server/ledger.h"

namespace stillpoint::ntrip {

const char* departure_name(Departure why) {
  switch (why) {
    case Departure::kClosed:
      return "closed";
    case Departure::kError:
      return "error";
    case Departure::kSlow:
      return "slow";
    case Departure::kTooOld:
      return "too old";
    case Departure::kBudget:
      return "budget";
    case Departure::kFlood:
      return "flood";
    case Departure::kLimit:
      return "limit";
    case Departure::kShutdown:
      return "shutdown";
  }
  return "error";
}

}  // namespace stillpoint::ntrip

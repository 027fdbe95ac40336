#include "stillpoint/gnss/ephemeris.h"

namespace stillpoint {

const char* message_name(NavMessage m) {
  switch (m) {
    case NavMessage::kLnav:
      return "LNAV";
    case NavMessage::kCnav:
      return "CNAV";
    case NavMessage::kCnav2:
      return "CNV2";
    case NavMessage::kInav:
      return "INAV";
    case NavMessage::kFnav:
      return "FNAV";
    case NavMessage::kD1:
      return "D1";
    case NavMessage::kD2:
      return "D2";
    case NavMessage::kBcnav1:
      return "CNV1";
    case NavMessage::kBcnav2:
      return "CNV2";
    case NavMessage::kBcnav3:
      return "CNV3";
    case NavMessage::kFdma:
      return "FDMA";
    case NavMessage::kSbas:
      return "SBAS";
  }
  return "unknown";
}

}  // namespace stillpoint

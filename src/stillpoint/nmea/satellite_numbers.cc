#include "stillpoint/nmea/satellite_numbers.h"

#include <array>
#include <cstdint>

namespace stillpoint::nmea {
namespace {

// Numbers first .. last of the talkers listed, two letters and a blank each,
// are satellites `becomes` and on.
struct Range {
  std::string_view talkers;
  int first = 0, last = 0;
  System system = System::kGps;
  int becomes = 0;
};

bool lists(std::string_view talkers, std::string_view talker) {
  for (std::size_t at = 0; at < talkers.size(); at += 3) {
    if (talkers.substr(at, 2) == talker) {
      return true;
    }
  }
  return false;
}

constexpr std::array kRanges{
    Range{"GP GN", 1, 32, System::kGps, 1},
    Range{"GP GL GN", 33, 64, System::kSbas, 20},
    Range{"GP GL GN", 65, 96, System::kGlonass, 1},
    Range{"GP GN", 120, 158, System::kSbas, 20},
    Range{"GP GN", 193, 200, System::kQzss, 1},
    Range{"GP GN", 203, 263, System::kBeidou, 3},
    Range{"GP GN GA", 301, 336, System::kGalileo, 1},
    Range{"GP GN GB BD", 401, 463, System::kBeidou, 1},
    Range{"GA", 1, 36, System::kGalileo, 1},
    Range{"GB BD", 1, 63, System::kBeidou, 1},
    Range{"GB BD", 201, 263, System::kBeidou, 1},
    Range{"GQ QZ", 1, 10, System::kQzss, 1},
    Range{"GQ QZ", 193, 202, System::kQzss, 1},
    Range{"GI", 1, 15, System::kNavic, 1},
};

}  // namespace

std::optional<SatId> satellite_of(std::string_view talker, int number) {
  for (const Range& r : kRanges) {
    if (number >= r.first && number <= r.last && lists(r.talkers, talker)) {
      return SatId{r.system,
                   static_cast<std::uint8_t>(number - r.first + r.becomes)};
    }
  }
  return std::nullopt;
}

}  // namespace stillpoint::nmea

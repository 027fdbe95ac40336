#include <array>

#include "stillpoint/simulate/receiver/receiver.h"

namespace stillpoint::simulate {
namespace {

struct Row {
  System system;
  SignalCode signal;
  double mega_chips;     // a second
  double spacing_chips;  // early to late
};

// A code whose peak is sharper than its chips (binary offset carriers) counts
// with the chips that would give that peak.
constexpr std::array<Row, 18> kRows{{
    {System::kGps, {'1', 'C'}, 1.023, 0.1},
    {System::kGps, {'1', 'W'}, 10.23, 0.5},
    {System::kGps, {'2', 'W'}, 10.23, 0.5},
    {System::kGps, {'2', 'L'}, 1.023, 0.1},
    {System::kGps, {'5', 'Q'}, 10.23, 0.5},
    {System::kGlonass, {'1', 'C'}, 0.511, 0.1},
    {System::kGlonass, {'1', 'P'}, 5.11, 0.5},
    {System::kGlonass, {'2', 'C'}, 0.511, 0.1},
    {System::kGlonass, {'2', 'P'}, 5.11, 0.5},
    {System::kGalileo, {'1', 'C'}, 3.069, 0.3},
    {System::kGalileo, {'6', 'C'}, 5.115, 0.5},
    {System::kGalileo, {'8', 'Q'}, 40.0, 0.5},
    {System::kBeidou, {'2', 'I'}, 2.046, 0.2},
    {System::kBeidou, {'7', 'I'}, 2.046, 0.2},
    {System::kBeidou, {'1', 'P'}, 3.069, 0.3},
    {System::kQzss, {'1', 'C'}, 1.023, 0.1},
    {System::kQzss, {'2', 'L'}, 1.023, 0.1},
    {System::kQzss, {'5', 'Q'}, 10.23, 0.5},
}};

}  // namespace

TrackingLoops loops_of(System system, SignalCode signal) {
  double mega_chips = 10.23, spacing = 0.5;  // the wide signals
  for (const Row& row : kRows) {
    if (row.system == system && row.signal == signal) {
      mega_chips = row.mega_chips;
      spacing = row.spacing_chips;
    }
  }
  TrackingLoops loops;
  loops.chip_m = kSpeedOfLightMps / (mega_chips * 1e6);
  loops.spacing_chips = spacing;
  return loops;
}

}  // namespace stillpoint::simulate

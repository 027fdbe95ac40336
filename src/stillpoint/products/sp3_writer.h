// Writer of SP3-d orbit files from PreciseProduct.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

struct Sp3WriterOptions {
  std::vector<std::string> comments = {};  // 77 columns each
  std::string data_used = "ORBIT";         // 5 columns
  std::string orbit_type = "FIT";          // 3 columns: FIT, EXT, BCT, BHN, …
  // 5 and 4 columns; without them the product's own.
  std::optional<std::string> coordinate_system = {}, agency = {};
  // The header's start; without it the first epoch.
  std::optional<GnssTime> start = {};
  // Accuracy of an orbit: 2^exponent mm, 1 .. 99; 0, and satellites that are
  // not named: not known.
  std::map<SatId, int> accuracy_exponents = {};
  // Bases of the records' own accuracies, which we do not write [mm or
  // 1e-4 mm/s, and ps or 1e-4 ps/s]; 0: not used.
  double position_base = 1.25, clock_base = 1.025;
};

// Writes a whole file in GPST: positions (km, to the millimetre) and clocks
// (microseconds, to the picosecond); the sink stays open. Satellites stand in
// the order in which they first appear in the product, at every epoch; what an
// epoch does not have is written as missing (0.000000 and 999999.999999), a
// position of which a component is NaN too. `predicted` marks the orbit and,
// where there is one, the clock: the product does not tell them apart.
//
// The format has no mark for orbits of phase centres; a file of these is
// known by its name (sp3.h).
//
//   errors   kNoData (no epoch), kOutOfRange (text or numbers that do not fit
//            their columns, epochs that do not ascend, a satellite twice in
//            one, more than 999 satellites; the epoch is the place), and what
//            the sink reports
//   source   Hilla, "The Extended Standard Product 3 Orbit Format (SP3-d)",
//            2016
Status write_sp3(const PreciseProduct& product,
                 const Sp3WriterOptions& options,
                 ByteSink& sink);

}  // namespace stillpoint::products

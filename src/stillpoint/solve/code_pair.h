// Which code of a satellite is used: an ionosphere-free pair where two
// frequencies are there, else one frequency.
#pragma once

#include <optional>
#include <span>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"

namespace stillpoint::solve {

struct CodePair {
  const Observation* first = nullptr;
  const Observation* second = nullptr;  // nullptr: one frequency
  double first_hz = 0, second_hz = 0;
  // Range = weight_first * code_first + weight_second * code_second.
  double weight_first = 1, weight_second = 0;
};

// Chooses by a fixed order of preference for each system, so that a satellite
// keeps its pair as long as both signals are tracked: first the pair the
// broadcast clock refers to, then other pairs of two frequencies, then one
// frequency.
//
//   rows             of this satellite
//   glonass_channel  needed for GLONASS
//   single_only      true: never a pair (`--without ionosphere`)
//   returns          nothing when no usable code is there
//   source           clock references: IS-GPS-200 20.3.3.3.3; Galileo OS SIS
//                    ICD 5.1.3; BDS-SIS-ICD B1I 5.2.4.10; order: common
//                    practice, no source
std::optional<CodePair> choose_pair(System system,
                                    std::span<const Observation> rows,
                                    std::optional<int> glonass_channel,
                                    bool single_only);

}  // namespace stillpoint::solve

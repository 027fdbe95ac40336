// Which signals of two receivers may be differenced.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint::solve {

// Bands of a system in the order of their worth for a tie; the first three
// that both ends have are used.
std::string_view tie_bands(System system);

// Signals of one letter carry the same code, or parts of the same one that are
// sent in step, so that phases of one receiver's S differ from those of
// another's X by a constant that is the same for all satellites. 0: no signal
// for a tie.
//
//   returns  a letter that stands for the class
//   source   RINEX 4.02, tables of observation codes; that phases are aligned
//            within a band: there, section on phase alignment (from memory)
char tie_class(System system, SignalCode signal);

// One band of one satellite at both ends.
struct TieBandPair {
  const Observation* phase_here = nullptr;
  const Observation* phase_there = nullptr;
  // Codes of the same class; null: none.
  const Observation* code_here = nullptr;
  const Observation* code_there = nullptr;
};

// Up to three bands with phases of the same class at both ends.
void match_bands(System system,
                 std::span<const Observation> here,
                 std::span<const Observation> there,
                 std::vector<TieBandPair>& out);

}  // namespace stillpoint::solve

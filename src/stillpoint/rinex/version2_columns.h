// Which column of a version 2.11 file a signal goes to. The reverse is
// columns_of_types2() of observation_columns.h.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::rinex {

// Columns as a file has them.
struct WrittenColumns {
  // By system. Version 2: all as long as types2, or empty where the system has
  // nothing to write; kOther where a type is not the system's.
  std::array<std::vector<Column>, kSystemCount> by_system;
  std::vector<std::string> types2;  // version 2 only
};

// One signal a band and observable, the first of these that has a column:
//
//   GPS      C1 C; P1 W P Y; L1 D1 S1 C W P Y N
//            C2 X L S C; P2 W P Y D; L2 D2 S2 W P Y D X L S C N; 5 X Q I
//   GLONASS  C1 C; P1 P; L1 D1 S1 C P; C2 C; P2 P; L2 D2 S2 P C
//   Galileo  1 and 6 X C B Z A; 5, 7 and 8 X Q I
//   SBAS     1 C; 5 I X Q
//
// Types stand in the order in which their first signal's column does.
//
//   source   RINEX 2.11, section 4.1 and table A1 name systems and observables
//            (BeiDou, QZSS and NavIC are not among them); the order of
//            preference is our own
WrittenColumns version2_columns(
    const std::array<std::vector<Column>, kSystemCount>& columns);

bool is_version2_system(System system);

// Why a value of these columns has no place in version 2.11: "BeiDou: …".
std::string version2_loss(const std::vector<Column>& columns,
                          System system,
                          Kind kind,
                          SignalCode signal);

// "L1C": the name in versions 3 and 4.
std::string type3_name(Kind kind, SignalCode signal);

}  // namespace stillpoint::rinex

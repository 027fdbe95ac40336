// How a station bends under the weight of the tides at sea.
#pragma once

#include <array>

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// Order of the eleven constituents, as in the published coefficient blocks:
// M2 S2 N2 K2 K1 O1 P1 Q1 Mf Mm Ssa.
inline constexpr int kTideCount = 11;

// Amplitude [m] and phase lag behind the tide at Greenwich [rad].
struct TideResponse {
  std::array<double, kTideCount> amplitude_m{};
  std::array<double, kTideCount> phase_rad{};
};

// Coefficients of one site; positive up, west and south, as the blocks have
// them. All zero: no loading.
struct OceanLoading {
  TideResponse up, west, south;
};

// Displacement of the site [m] in east, north, up: the eleven constituents and
// nine minor ones that answer like their neighbours, each with its modulation
// by the Moon's node.
//
//   accuracy  against the published series of 342 constituents 0.3 mm at
//             Onsala (of 9 mm), 1.1 mm at Reykjavik (of 38 mm)
//   source    IERS Conventions (2010), section 7.1.2; astronomical arguments:
//             Meeus, chapter 47, and for the node Pugh, "Tides, Surges and Mean
//             Sea-Level" (1987), table 4.3, from memory
//   threads   pure
Enu ocean_loading_m(const OceanLoading& loading, GnssTime t);

}  // namespace stillpoint::simulate

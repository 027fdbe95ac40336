// Displacement of stations by the load of the ocean tides: amplitude and phase
// of eleven tides, as a coefficient file gives them.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/geo/coords.h"

namespace stillpoint {

// M2 S2 N2 K2 K1 O1 P1 Q1 Mf Mm Ssa, in this order everywhere.
inline constexpr int kLoadingTideCount = 11;

// Of one station. The displacement of a tide of argument V(t) is
// amplitude * cos(V(t) - phase), positive up, west and south.
struct LoadingTides {
  using Row = std::array<double, static_cast<std::size_t>(kLoadingTideCount)>;

  std::string station;               // as the file names it
  std::array<Row, 3> amplitude_m{};  // radial, west, south
  std::array<Row, 3> phase_rad{};    // lag behind the tide at Greenwich
  std::optional<Geodetic> place;     // of the comments, where they have it
  std::string model;                 // ocean tide model, where they name it
};

// The content of one file.
struct LoadingProduct {
  std::string source;  // path, for messages
  std::vector<LoadingTides> stations;
  // Whether the motion of the Earth's centre of mass is in the coefficients;
  // nothing: the comments do not say.
  std::optional<bool> centre_of_mass;
};

// The station of a marker name, or nullptr: the same name but for the case of
// letters and, for a nine-character name ("ONSA00SWE"), else the station named
// by its first four. Of two blocks of one name the first. Nothing is guessed
// from places.
const LoadingTides* find_station(const LoadingProduct& product,
                                 std::string_view marker_name);

}  // namespace stillpoint

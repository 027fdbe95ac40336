// The words of archives.toml, in the order of their enumerations.
#pragma once

#include <array>
#include <string_view>

#include "stillpoint/fetch/product_line.h"

namespace stillpoint::fetch {

inline constexpr std::array<std::string_view, kProductKinds> kKindWords = {
    "orbits",
    "clocks",
    "biases",
    "earth",
    "antennas",
    "navigation",
    "ionosphere"};
inline constexpr std::array<std::string_view, kQualities> kQualityWords = {
    "final", "rapid", "ultra"};

}  // namespace stillpoint::fetch

// The parts of a profile's text, each read from its TOML table; mistakes are
// kept with their places.
#pragma once

#include <span>
#include <vector>

#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/profile_text.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {

// The value of `framing`: tables [[framing]].
std::vector<MakerFraming> read_framings(const toml::node& node,
                                        Mistakes& mistakes);

// The value of `step`: tables [[step]], which may name one of the framings.
std::vector<Step> read_steps(const toml::node& node,
                             std::span<const MakerFraming> framings,
                             Mistakes& mistakes);

// The keys checksum, checksum_start, checksum_from and checksum_order.
Checksum read_checksum(TableReader& reader);

}  // namespace stillpoint::profile

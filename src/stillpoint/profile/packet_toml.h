// The keys of a step that sends a packet: hex, its framing or its checksum.
#pragma once

#include <span>

#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/profile_text.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {

void read_packet(TableReader& reader,
                 std::span<const MakerFraming> framings,
                 Step& step);

}  // namespace stillpoint::profile

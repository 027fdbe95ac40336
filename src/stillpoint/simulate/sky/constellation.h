// The invented satellites of a world: as many, as high and as inclined as
// those of the real systems, and none of them.
#pragma once

#include <cstdint>
#include <vector>

#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/sky/satellite.h"

namespace stillpoint::simulate {

// Orbits of 31 GPS, 24 GLONASS, 27 Galileo, 30 BeiDou (3 geostationary, 3
// inclined geosynchronous) and 4 QZSS satellites; ascending by satellite.
//
//   source  sizes and inclinations: the systems' interface documents and
//           service definitions (from memory); the rest is random
std::vector<Satellite> make_constellation(const Scenario& scenario);

// The signals that satellites of a system send here.
std::vector<SignalCode> sent_signals(System system);

}  // namespace stillpoint::simulate

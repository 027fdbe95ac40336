// What the health pages show, gathered from the parts of a running station.
#pragma once

#include "stillpoint/api/station_status.h"
#include "stillpoint/station/parts.h"

namespace stillpoint::station {

// threads  the loop's
api::StationStatus status_of(const Parts& parts);

}  // namespace stillpoint::station

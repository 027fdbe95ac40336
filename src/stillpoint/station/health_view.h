// What the station knows about itself, for its pages and its own verdict.
#pragma once

#include <chrono>

#include "stillpoint/api/station_status.h"
#include "stillpoint/station/parts.h"

namespace stillpoint::station {

// All but what the process is like. In the control thread.
api::StationStatus status_of(const Parts& parts);

// Memory, files and threads: costs some system calls.
//
//   control_at  when the control thread last wrote its status
//   threads     any
void add_process(const Parts& parts,
                 std::chrono::nanoseconds control_at,
                 api::StationStatus& status);

}  // namespace stillpoint::station

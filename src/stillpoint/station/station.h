// The station at work: wires the parts to each other and to their threads, and
// keeps them going until it is told to end. Threads and who calls whom:
// ARCHITECTURE.md, "Threads and locks".
#pragma once

#include <string>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"
#include "stillpoint/station/receiver_link.h"

namespace stillpoint::station {

struct StationOptions {
  std::string config_path;  // read again at a reload
  std::string program_version;
  OpenSource open_source;
  bool simulated = false;  // every page says that nothing of it is real
};

// Works until SIGINT or SIGTERM, then ends in order.
//
//   config   as read_settings() gives it for that path
//   errors   kConfig: a profile or certificate that cannot be used; kIo: the
//            state folder, or a port that is taken; kUsage: another station
//            works in that folder
Status run_station(StationOptions options, config::StationConfig config);

}  // namespace stillpoint::station

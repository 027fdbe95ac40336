// station.toml from its file.
#pragma once

#include <string>

#include "stillpoint/config/station_changes.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"

namespace stillpoint::station {

//   errors   kIo, kTooLarge: the file cannot be read; kConfig: every mistake,
//            as config::parse_station_config()
Result<config::StationConfig> read_settings(const std::string& path);

// The same against the settings that run: all or nothing.
Result<config::Reload> reread_settings(const config::StationConfig& running,
                                       const std::string& path);

}  // namespace stillpoint::station

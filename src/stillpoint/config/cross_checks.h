// Settings that are right each, but do not fit each other.
#pragma once

#include "stillpoint/config/section_reader.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/profile/toml.h"

namespace stillpoint::config {

//   root   the file that `config` was read from, for the places
void check_fit(const toml::table& root,
               const StationConfig& config,
               Reading& reading);

// The same within a [[mountpoint]].
void check_mountpoint_fit(const toml::table& table,
                          const MountpointSection& mount,
                          Reading& reading);

}  // namespace stillpoint::config

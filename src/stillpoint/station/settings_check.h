// What check-config looks at: the settings, and what they point to.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"

namespace stillpoint::station {

struct SettingsVerdict {
  std::vector<Error> mistakes;        // each with its place and remedy
  std::vector<std::string> warnings;  // taken all the same
};

//   errors   kIo, kTooLarge: the file cannot be read
Result<SettingsVerdict> check_settings(const std::string& path);

// Profile, certificates, navigation and password files, state folder.
SettingsVerdict check_surroundings(const config::StationConfig& config);

}  // namespace stillpoint::station

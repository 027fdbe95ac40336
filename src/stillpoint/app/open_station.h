// The station that a verb works on from outside, whether it runs or not: its
// settings and its database.
#pragma once

#include <string>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"
#include "stillpoint/store/store.h"

namespace stillpoint::app {

struct OpenStation {
  config::StationConfig settings;
  std::string database;    // path of station.db
  std::string claim_path;  // of the file with an open claim code
  Store store;
};

// Reads the settings and opens the database of the state folder, which must be
// there, with the rights of the folder's owner (act_as_owner()): files of
// somebody else are read before.
//
//   config   path of station.toml
//   errors   as station::read_settings(), act_as_owner(), Store::open()
Result<OpenStation> open_station(const std::string& config);

// Reports an error of a verb with a --config; mistakes of the settings as
// check-config shows them. Returns the exit code.
int report_station_error(const Error& error,
                         const std::string& config,
                         bool json);

// On whose behalf, and when: now.
ChangeNote note_by(std::string name);

}  // namespace stillpoint::app

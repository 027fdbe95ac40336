// The receiver profile that a setting names: one that came with the program,
// or a file; and what its steps may send.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::station {

//   name     of a shipped profile, else a path; empty: nothing is sent
//   errors   kIo: the file cannot be read; kConfig: its mistakes
Result<profile::Profile> load_profile(const std::string& name);

// A position as steps may send it.
//
//   threads  pure
profile::StationValues values_of(const Ecef& position);

}  // namespace stillpoint::station

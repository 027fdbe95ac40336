// The receiver profile that a setting names: one that came with the program,
// or a file.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/profile/profile.h"

namespace stillpoint::station {

//   name     of a shipped profile, else a path; empty: nothing is sent
//   errors   kIo: the file cannot be read; kConfig: its mistakes
Result<profile::Profile> load_profile(const std::string& name);

}  // namespace stillpoint::station

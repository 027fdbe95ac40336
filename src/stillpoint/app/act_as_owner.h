// The rights under which a verb writes into a station's folder.
#pragma once

#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

// Where root works in somebody's folder, takes that owner's rights for the rest
// of the process: what is written must be the station's, which runs as the
// owner, and not root's. For everybody else, and for root's own folder, does
// nothing.
//
//   errors   kIo where there is no such folder
Status act_as_owner(const std::string& folder, const std::string& remedy);

}  // namespace stillpoint::app

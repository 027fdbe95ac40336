// A result on the disk: renamed when it is whole, so that a reader never sees
// half of it.
#pragma once

#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

//   working_folder   where it is written before it is whole; empty: beside it
//   errors           kIo
Status write_whole_file(const std::string& path,
                        const std::string& text,
                        const std::string& working_folder = {});

}  // namespace stillpoint::app

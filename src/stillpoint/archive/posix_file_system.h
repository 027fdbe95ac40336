// The FileSystem of the machine.
#pragma once

#include <memory>

#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

//   threads  the file system may be shared, an OpenFile not
std::unique_ptr<FileSystem> posix_file_system();

}  // namespace stillpoint::archive

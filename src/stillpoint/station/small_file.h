// Short files that people write: settings, profiles, certificates.
#pragma once

#include <cstddef>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::station {

//   errors   kIo where it cannot be read; kTooLarge beyond `most_bytes`
Result<std::string> read_small_file(const std::string& path,
                                    std::size_t most_bytes);

// Writes a file that only its owner may read, whole and lasting, or not at all.
// A file that is there is replaced.
Status write_private_file(const std::string& path, const std::string& text);

}  // namespace stillpoint::station

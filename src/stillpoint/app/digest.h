// SHA-256 of a file, as positions records name their inputs.
#pragma once

#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

// Hex digest of the bytes on disk.
//
//   errors   kIo
//   source   FIPS 180-4, through OpenSSL
Result<std::string> sha256_of_file(const std::string& path);

}  // namespace stillpoint::app

// SHA-256 of files, as position records name their inputs.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint {

// Hex digest of the bytes on disk.
//
//   errors   kIo
//   source   FIPS 180-4, through OpenSSL
Result<std::string> sha256_of_file(const std::string& path);

// The same of bytes in memory.
//
//   errors   kInternal where the crypto library has no SHA-256
Result<std::string> sha256_of_text(std::string_view bytes);

}  // namespace stillpoint

// Sources as the verbs open them: every kind, packed files, pacing, the
// environment.
#pragma once

#include <memory>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/byte_source.h"

namespace stillpoint::app {

//   errors   kUsage, kIo of a password file that cannot be read
Result<std::unique_ptr<net::ByteSource>> open_stream(
    net::Loop& loop, const net::SourceAddress& address);

// What to say about an NTRIP address without a mountpoint: asks the caster what
// it has, and names it.
Error mountpoint_missing(const net::SourceAddress& address);

// Bytes of a file, unpacked.
Result<net::FileReader> open_packed_file(const std::string& path);

}  // namespace stillpoint::app

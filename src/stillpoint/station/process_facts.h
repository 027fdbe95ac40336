// What the system knows of this process.
#pragma once

#include <cstdint>
#include <optional>

namespace stillpoint::station {

// Memory of ours that is in the machine's; nothing where the system hides it.
std::optional<std::uint64_t> resident_bytes();
// Files, sockets and pipes.
std::optional<std::uint64_t> open_files();

}  // namespace stillpoint::station

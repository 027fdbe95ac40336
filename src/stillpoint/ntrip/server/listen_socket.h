// A TCP port that is listened on.
#pragma once

#include <cstdint>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::ntrip {

struct OpenedSocket {
  int fd = -1;  // the caller closes it
  std::uint16_t port = 0;
};

// Non-blocking, with room for a few thousand that wait to be accepted (as far
// as the system allows: net.core.somaxconn).
//
//   address  numeric; "::" takes IPv4 as well
//   errors   kConfig: not an address; kIo: taken, or not allowed
Result<OpenedSocket> open_listen_socket(const std::string& address,
                                        std::uint16_t port);

}  // namespace stillpoint::ntrip

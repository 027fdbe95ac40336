// Where a verb plays bytes to: --to tcp:PORT or --to pty.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

struct Destination {
  bool pty = false;
  std::uint16_t port = 0;  // 0: a free one
};

//   verb     for messages
//   errors   kUsage
Result<Destination> parse_destination(const std::string& to,
                                      std::string_view verb);

}  // namespace stillpoint::app

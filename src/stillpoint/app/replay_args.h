// The options of `replay`, read and checked.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/intake/faults.h"

namespace stillpoint::app {

struct ReplayArgs {
  std::string file;
  bool to_pty = false;
  std::uint16_t port = 0;  // 0: a free one
  double speed = 1;        // 0: as fast as the readers take it
  bool loop = false;
  intake::FaultOptions faults;
  double stall_s = 0;
  bool help = false;
};

//   errors   kUsage with the option, what is allowed and the remedy
Result<ReplayArgs> parse_replay(const std::vector<std::string>& words);

}  // namespace stillpoint::app

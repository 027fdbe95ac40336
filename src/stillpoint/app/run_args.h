// What the command line of `run` and `check-config` says.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

struct RunArgs {
  std::string config;
  bool simulated = false;  // nothing of it is real: every page says so
  bool help = false;
};

//   errors   kUsage
Result<RunArgs> parse_run(const std::vector<std::string>& words);
// The same, the file without an option before it.
Result<RunArgs> parse_check_config(const std::vector<std::string>& words);

}  // namespace stillpoint::app

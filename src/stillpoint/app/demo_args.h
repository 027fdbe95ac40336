// The options of `demo`, read and checked.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

struct DemoArgs {
  double speed = 3600;     // simulated seconds in one
  std::uint16_t port = 0;  // for rovers; 0: a free one
  std::string dir = "larch-hollow-demo";
  double hours = 48;  // of the scenario
  bool help = false;
};

//   errors   kUsage with what is allowed
Result<DemoArgs> parse_demo(const std::vector<std::string>& words);

}  // namespace stillpoint::app

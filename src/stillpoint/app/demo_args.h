// The options of `demo`, read and checked.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

struct DemoArgs {
  double speed = 1200;     // simulated seconds in one
  std::uint16_t port = 0;  // of the console; 0: a free one
  std::string dir = "larch-hollow-demo";
  double hours = 48;  // of the scenario
  bool stay = false;  // goes on in real time until Ctrl-C
  bool help = false;
};

//   errors   kUsage with what is allowed
Result<DemoArgs> parse_demo(const std::vector<std::string>& words);

}  // namespace stillpoint::app

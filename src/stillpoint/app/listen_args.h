// The options of `listen`, read and checked.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/profile/framing.h"

namespace stillpoint::app {

struct ListenArgs {
  net::SourceAddress source;
  double for_s = 10;
  std::vector<profile::MakerFraming> framings;  // of --profile
  bool help = false;
};

//   errors   kUsage with the option, what is allowed and the remedy; kConfig
//            and kIo of the profile
Result<ListenArgs> parse_listen(const std::vector<std::string>& words);

}  // namespace stillpoint::app

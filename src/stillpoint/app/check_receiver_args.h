// The options of `check-receiver`, read and checked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/profile/profile.h"

namespace stillpoint::app {

struct CheckReceiverArgs {
  std::string name;  // of the profile, as given
  bool is_shipped = false;
  profile::Profile profile;
  profile::StationValues values;           // of --position
  std::optional<net::SourceAddress> port;  // serial: or tcp:
  bool send = false;
  bool help = false;
};

//   errors   kUsage with the option, what is allowed and the remedy; kConfig
//            and kIo of the profile; kOutOfRange at the step that the position
//            does not fit into
Result<CheckReceiverArgs> parse_check_receiver(
    const std::vector<std::string>& words);

}  // namespace stillpoint::app

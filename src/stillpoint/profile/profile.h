// A receiver profile: how the maker's packets are framed, and what is sent to
// the receiver at its start (docs/receivers.md).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {

struct Profile {
  std::string name, description;
  std::vector<MakerFraming> framings;
  std::vector<Step> steps;
};

// A profile of TOML text, at most 64 KiB. One that holds nothing is valid.
//
//   name     what stands in front of line and column, e.g. the file's name
//   errors   kConfig: all mistakes, a line each, with "name:line:column", the
//            value, what is allowed and what to write; where and remedy are
//            those of the first
Result<Profile> parse_profile(std::string_view toml, std::string_view name);

}  // namespace stillpoint::profile

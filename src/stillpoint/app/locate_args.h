// The options of `locate`, read and checked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/solve/code_options.h"
#include "stillpoint/solve/terms.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

struct LocateArgs {
  std::vector<std::string> observations, navigation, orbits;
  solve::SystemSet systems = solve::SystemSet::all();
  std::optional<GnssTime> start, end;
  double elevation_mask_deg = 7;
  solve::TermSet without;
  std::vector<std::string> without_names;
  std::string out;  // record file, or empty
  bool help = false;
};

//   words    what stood behind `locate`, without --json
//   errors   kUsage with the option, what is allowed and the remedy
Result<LocateArgs> parse_locate(const std::vector<std::string>& words);

}  // namespace stillpoint::app

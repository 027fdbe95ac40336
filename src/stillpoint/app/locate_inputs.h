// Files of `locate` read into what the solver takes.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::app {

// Orbits from whatever was given: precise where there are files of them, else
// broadcast; the ionosphere's parameters always from the navigation files.
struct OrbitInputs {
  std::unique_ptr<OrbitSource> source;
  IonosphereParameters ionosphere;
  bool precise = false;
  bool any_broadcast = false;  // the navigation files hold a usable set
  std::vector<solve::Warning> warnings;  // damaged records stepped over
};

//   errors   of the first file that cannot be read, with its path
Result<OrbitInputs> read_orbits(const std::vector<std::string>& navigation,
                                const std::vector<std::string>& orbits);

// One warning for a file with damaged places: how many, and the first.
// `count` may be more than the problems that were kept.
void warn_damaged(const std::string& path,
                  std::size_t count,
                  const std::vector<rinex::Problem>& problems,
                  std::vector<solve::Warning>& warnings);

}  // namespace stillpoint::app

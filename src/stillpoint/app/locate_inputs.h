// Files of `locate` read into what the solver takes.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/aids/loading_tides.h"
#include "stillpoint/aids/precise_source.h"
#include "stillpoint/app/locate_args.h"
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
  // Beside orbits, for the phase solution.
  AntennaPatterns patterns, offsets;
  EarthOrientationSeries earth;
  LoadingProduct loading;
  // In *source; null where no files of them are given.
  const PreciseSource* products = nullptr;
  // Channels that the navigation files state, for precise orbits.
  std::array<std::optional<int>, 100> glonass_channel{};
  bool any_broadcast = false;  // the navigation files hold a usable set
  std::vector<solve::Warning> warnings;  // damaged records stepped over
};

// Recorded streams among the observations bring their own ephemerides where no
// orbits were given.
//
//   errors   kUsage where there are neither orbits nor such streams
Status complete_orbits(const std::vector<std::string>& observations,
                       LocateArgs& args);

//   receiver_type   of the antenna, so that only its patterns are kept
//   errors          of the first file that cannot be read, with its path
Result<OrbitInputs> read_orbits(const LocateArgs& args,
                                const std::string& receiver_type);

// One warning for a file with damaged places: how many, and the first.
// `count` may be more than the problems that were kept.
void warn_damaged(const std::string& path,
                  std::size_t count,
                  const std::vector<rinex::Problem>& problems,
                  std::vector<solve::Warning>& warnings);

}  // namespace stillpoint::app

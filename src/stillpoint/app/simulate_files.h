// A scenario to files: observations, ephemerides, RTCM, products, and the
// truth beside them.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "stillpoint/app/export_files.h"
#include "stillpoint/app/simulate_args.h"
#include "stillpoint/simulate/sky/sky.h"

namespace stillpoint::app {

struct SimulatedFile {
  std::string kind;  // "observations", "navigation", "rtcm", "bytes", "truth",
                     // "terms", "orbits", "clocks", "biases", "antennas"
  WrittenFile file;
};

struct SimulatedSession {
  std::size_t receiver = 0;  // its number in the scenario
  std::uint64_t epochs = 0, observations = 0, missed = 0;
  std::vector<SimulatedFile> files;
};

struct SimulateAnswer {
  GnssTime from, to;  // half open
  std::vector<SimulatedSession> receivers;
  std::vector<SimulatedFile> files;  // of the whole world
  rinex::LeftOutValues left_out;
};

// Called with the epochs made so far.
using EpochProgress = std::function<void(long long)>;

//   errors   kIo, and what the writers report
Result<SimulateAnswer> write_scenario(const SimulateArgs& args,
                                      const simulate::Sky& sky,
                                      const EpochProgress& progress);

}  // namespace stillpoint::app

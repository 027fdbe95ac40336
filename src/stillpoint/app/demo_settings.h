// The files that the demo's station is started with.
#pragma once

#include <array>
#include <cstdint>
#include <string>

#include "stillpoint/app/demo_folder.h"
#include "stillpoint/core/result.h"

namespace stillpoint::app {

inline constexpr const char* kDemoScenario = "larch-hollow";
inline constexpr const char* kDemoMount = "LHOL";
inline constexpr std::array kDemoRovers{"ditch-1", "tractor-2"};
inline constexpr const char* kDemoGuest = "club-guest";  // of --stay
// Two days are some 17 000 epochs and 50 MB then.
inline constexpr double kDemoIntervalS = 10;

struct DemoPorts {
  std::uint16_t receiver = 0, rovers = 0, health = 0, console = 0;
};

// Four ports of 127.0.0.1 that nobody has; not of those that the system gives
// to connections, as a station that tries a closed one of these again and
// again may end up connected to itself.
//
//   console  wanted for the console; 0: a free one
//   errors   kIo where none is free
Result<DemoPorts> find_demo_ports(std::uint16_t console);

// station.toml and receiver.toml.
//
//   station   its nine letters
//   date      of the data, YYYY-MM-DD
//   errors    kIo
Status write_demo_settings(const DemoFolder& folder,
                           const DemoPorts& ports,
                           const std::string& station,
                           const std::string& date);

}  // namespace stillpoint::app

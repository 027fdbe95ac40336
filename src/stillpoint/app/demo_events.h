// What the scenario does to the station, and what the station's own records
// say of it.
#pragma once

#include <cstdint>
#include <vector>

#include "stillpoint/app/demo_report.h"
#include "stillpoint/core/result.h"
#include "stillpoint/store/minutes.h"

namespace stillpoint::app {

// The events of the world up to its end, in order of time, with the minute
// values around them.
//
//   errors   as Minutes
Result<std::vector<DemoEvent>> find_demo_events(const DemoWorld& world,
                                                const Minutes& minutes);

// All epochs that the minute values count.
//
//   errors   as Minutes
Result<std::uint64_t> epochs_in_minutes(const DemoWorld& world,
                                        const Minutes& minutes);

}  // namespace stillpoint::app

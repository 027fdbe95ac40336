// The tables [[receiver]] of a scenario's text. Inside this folder only.
#pragma once

#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/scenario/scenario_table.h"

namespace stillpoint::simulate {

//   before   those of the tables above it, from which its place may be given
ReceiverScenario read_receiver(const toml::table& table,
                               GnssTime start,
                               const std::vector<ReceiverScenario>& before,
                               Mistakes& mistakes);

}  // namespace stillpoint::simulate

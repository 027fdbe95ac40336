// The tables [[receiver]] of a scenario's text. Inside this folder only.
#pragma once

#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/scenario/scenario_table.h"

namespace stillpoint::simulate {

ReceiverScenario read_receiver(const toml::table& table,
                               GnssTime start,
                               Mistakes& mistakes);

}  // namespace stillpoint::simulate

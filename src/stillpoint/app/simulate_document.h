// What `simulate` answers: as JSON and for people.
#pragma once

#include <string>

#include "stillpoint/app/simulate_files.h"

namespace stillpoint::app {

std::string simulate_document(const simulate::Scenario& scenario,
                              const SimulateAnswer& answer);
std::string simulate_summary(const simulate::Scenario& scenario,
                             const SimulateAnswer& answer);

}  // namespace stillpoint::app

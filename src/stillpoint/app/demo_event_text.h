// An event of the demo in words.
#pragma once

#include <string>

#include "stillpoint/app/demo_report.h"

namespace stillpoint::app {

// A paragraph, with the numbers that the station's records have of it.
std::string demo_event_text(const DemoWorld& world, const DemoEvent& event);

// "gap", "jammer", "scintillation", "move".
const char* demo_event_name(DemoEventKind kind);

}  // namespace stillpoint::app

// The help texts; docs/man/*.md is their only source.
#pragma once

#include <string_view>

namespace stillpoint::app {

extern const std::string_view kHelp;        // docs/man/stillpoint.md
extern const std::string_view kHelpExit;    // docs/man/stillpoint-exit.md
extern const std::string_view kHelpLocate;  // docs/man/stillpoint-locate.md

}  // namespace stillpoint::app

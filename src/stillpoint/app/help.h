// The help texts; docs/man/*.md is their only source.
#pragma once

#include <string_view>

namespace stillpoint::app {

extern const std::string_view kHelp;        // docs/man/stillpoint.md
extern const std::string_view kHelpExit;    // docs/man/stillpoint-exit.md
extern const std::string_view kHelpListen;  // docs/man/stillpoint-listen.md
extern const std::string_view kHelpLocate;  // docs/man/stillpoint-locate.md

extern const std::string_view kHelpReplay;  // docs/man/stillpoint-replay.md

}  // namespace stillpoint::app

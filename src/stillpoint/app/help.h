// The help texts; docs/man/*.md is their only source.
#pragma once

#include <string_view>

namespace stillpoint::app {

extern const std::string_view kHelp;       // docs/man/stillpoint.md
extern const std::string_view kHelpAdopt;  // docs/man/stillpoint-adopt.md
// docs/man/stillpoint-candidates.md
extern const std::string_view kHelpCandidates;
extern const std::string_view kHelpClaim;   // docs/man/stillpoint-claim.md
extern const std::string_view kHelpDemo;    // docs/man/stillpoint-demo.md
extern const std::string_view kHelpExit;    // docs/man/stillpoint-exit.md
extern const std::string_view kHelpExport;  // docs/man/stillpoint-export.md
extern const std::string_view kHelpListen;  // docs/man/stillpoint-listen.md
extern const std::string_view kHelpLocate;  // docs/man/stillpoint-locate.md
// docs/man/stillpoint-position.md
extern const std::string_view kHelpPosition;
extern const std::string_view kHelpReplay;  // docs/man/stillpoint-replay.md
extern const std::string_view kHelpRovers;  // docs/man/stillpoint-rovers.md
// docs/man/stillpoint-simulate.md
extern const std::string_view kHelpSimulate;
extern const std::string_view kHelpRun;  // docs/man/stillpoint-run.md
extern const std::string_view kHelpTie;  // docs/man/stillpoint-tie.md
// docs/man/stillpoint-check-config.md
extern const std::string_view kHelpCheckConfig;
// docs/man/stillpoint-check-receiver.md
extern const std::string_view kHelpCheckReceiver;

}  // namespace stillpoint::app

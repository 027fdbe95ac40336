// A receiver's session from files, run through the signal statistics.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/quality/signal_report.h"

namespace stillpoint::test {

struct SignalSession {
  std::string name{};
  std::string observations{};  // paths
  std::vector<std::string> navigation{};
};

// AJAC (its navigation data are Galileo's only) and ESBC; nothing where there
// is no data.
std::vector<SignalSession> signal_sessions();

struct SessionRun {
  std::string failure;  // what could not be read
  quality::SignalReport report;
};
// The place is that of the observation file's header: good enough for
// elevations.
SessionRun run(const SignalSession& session);

// Of a signal ("G", "1C"); nullptr where it was not seen.
const quality::SignalFigures* find_signal(const quality::SignalReport& report,
                                          System system,
                                          const char* signal);
const quality::SystemFigures* find_system(const quality::SignalReport& report,
                                          System system);

}  // namespace stillpoint::test

#include "stillpoint/station/log_output.h"

#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

namespace stillpoint::station {
namespace {

// Priorities of syslog (RFC 5424, table 2).
const char* priority(LogLevel level) {
  switch (level) {
    case LogLevel::kDebug:
      return "<7>";
    case LogLevel::kInfo:
      return "<6>";
    case LogLevel::kWarning:
      return "<4>";
    case LogLevel::kError:
      return "<3>";
  }
  return "<3>";
}

}  // namespace

void LogOutput::write(LogLevel level, std::string_view line) {
  std::string text = for_journal_ ? priority(level) : "";
  text += line;
  text += '\n';
  // Nobody is left to tell where this fails.
  [[maybe_unused]] const auto written =
      ::write(STDERR_FILENO, text.data(), text.size());
}

bool logs_to_journal() {
  const char* stream = std::getenv("JOURNAL_STREAM");
  struct stat info {};
  if (stream == nullptr || ::fstat(STDERR_FILENO, &info) != 0) {
    return false;
  }
  return std::to_string(info.st_dev) + ":" + std::to_string(info.st_ino) ==
         stream;
}

}  // namespace stillpoint::station

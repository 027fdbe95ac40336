// Values that options of several verbs have alike. An empty text is an option
// that was not given: it leaves the value as it is.
#pragma once

#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

// A time as every verb takes it (parse_time).
//
//   errors   kUsage with the option's name
Status read_time(const char* option,
                 const std::string& text,
                 std::optional<GnssTime>& into);

// A number within [least, most].
//
//   allowed  what to give instead, "a factor, 1 for real time"
//   errors   kUsage
Status read_number(const char* option,
                   const std::string& text,
                   double least,
                   double most,
                   const std::string& allowed,
                   double& into);

// "2.11", "3.05", "4.02".
const char* version_text(rinex::Version version);
//   errors   kUsage for a version that is not written
Status read_version(const std::string& text, rinex::Version& into);

}  // namespace stillpoint::app

// The options of `export`, read and checked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/intake/export/period.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::app {

struct ExportArgs {
  std::string config;  // else raw and name
  std::string raw;     // the folder that holds YYYY/DDD/HH.seg
  std::string name;    // LHOL00XXX
  intake::Span span;
  intake::Span received;  // of the recording, by the time of reception
  intake::PeriodLength length = intake::PeriodLength::kDay;
  std::optional<double> interval_s;
  rinex::Version version = rinex::Version::k305;
  bool hatanaka = false;
  bool gzip = false;
  std::string out = ".";
  bool help = false;
};

//   errors   kUsage with what is allowed
Result<ExportArgs> parse_export(const std::vector<std::string>& words);

}  // namespace stillpoint::app

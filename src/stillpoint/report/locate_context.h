// What a located position is told with besides the solution itself.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::report {

struct InputFile {
  std::string path;
  std::string sha256;  // hex, of the bytes on disk
};

struct LocateContext {
  std::string method;  // "code", "ppp-float", "ppp-fixed", "tie-…"
  std::string marker_name;
  std::string antenna_type;
  Enu antenna_delta_enu_m;
  bool precise_orbits = false;
  std::vector<std::string> without;
  std::vector<InputFile> inputs;
  std::string version;
};

}  // namespace stillpoint::report

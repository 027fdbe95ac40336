// Observations out of whatever file they are in: RINEX, or a recorded RTCM
// stream.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/intake/capture.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::app {

// A file as given to a verb: a path, or "file:PATH?date=YYYY-MM-DD".
struct InputPath {
  std::string path;
  std::optional<GnssTime> day;
};

//   errors   kUsage of a source that is no file
Result<InputPath> parse_input(const std::string& text);

// True for a recorded stream; false for everything else, what cannot be read
// included.
bool is_capture(const std::string& path);

// Reads a recorded stream once through.
Result<intake::CaptureFacts> capture_facts(const InputPath& input);

class EpochReader {
 public:
  virtual ~EpochReader() = default;
  // Of a recorded stream: position, antenna and receiver as it sends them.
  [[nodiscard]] virtual const rinex::ObservationHeader& header() const = 0;
  virtual Result<bool> next(Epoch& epoch) = 0;
  // To be called at the end: what was damaged.
  virtual void warn(std::vector<solve::Warning>& warnings) const = 0;
};

//   errors   of the file; kNoData for a recorded stream without observations,
//            or whose week nothing tells
Result<std::unique_ptr<EpochReader>> open_epochs(const std::string& text);

}  // namespace stillpoint::app

// A recorded stream as a file of observations or of ephemerides.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/intake/stream_reader.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

// Bytes of the recording in order: fills up to into.size(), 0 at the end.
using CaptureBytes = std::function<Result<std::size_t>(std::span<char> into)>;

// What a recording says besides its observations.
struct CaptureFacts {
  NavigationData navigation;
  std::optional<rtcm::StationPosition> position;  // the last that was sent
  std::string antenna, receiver;
  std::uint64_t epochs = 0;
  // First and last; of MSM where it has any, else of the messages before it.
  std::optional<GnssTime> first, last;
  bool week_known = false;
  bool has_msm = false;
  StreamCounts counts;
};

// Reads a recording once through.
//
//   day      an instant of the day of the data, when somebody named it
//   era      to resolve ten-bit weeks by, right within ten years
//   errors   what the bytes report
Result<CaptureFacts> read_capture_facts(const CaptureBytes& bytes,
                                        std::optional<GnssTime> day,
                                        GnssTime era);

// The epochs of a recording, one at a time: those of MSM, or those of the
// messages before it where the recording has no MSM.
class CaptureEpochs {
 public:
  // `facts` of the same recording; its week has to be known.
  CaptureEpochs(CaptureBytes bytes, const CaptureFacts& facts);
  ~CaptureEpochs();
  CaptureEpochs(CaptureEpochs&&) noexcept;
  CaptureEpochs& operator=(CaptureEpochs&&) noexcept;

  // Next epoch into `epoch`; false at the end.
  Result<bool> next(Epoch& epoch);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::intake

// Streaming reader of RINEX observation files 2.10, 2.11, 3.0x, 4.0x, plain or
// Hatanaka-compressed (1.0, 3.0), one epoch at a time in constant memory.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::rinex {

// A damaged place that was stepped over; reading went on at the next epoch.
struct Problem {
  std::string where;  // "path:line"
  std::string what;
};

// An event record (flags 2 to 5) with the lines it carried.
struct Event {
  int flag = 0;
  std::optional<GnssTime> time;
  std::vector<std::string> lines;
};

class ObservationReader {
 public:
  // Reads the header.
  //
  //   errors   kBadHeader, kUnsupported (version), kTruncated, and what the
  //            stream reports; all with "path:line"
  static Result<ObservationReader> open(std::unique_ptr<ByteStream> stream);

  ObservationReader(ObservationReader&&) noexcept;
  ObservationReader& operator=(ObservationReader&&) noexcept;
  ~ObservationReader();

  // As of the epoch read last: events in the middle may have changed it.
  [[nodiscard]] const ObservationHeader& header() const;

  // Next epoch into `epoch` (its memory is reused); false at the end.
  // Damaged epochs are stepped over and kept in problems(); after
  // kMaxProblems of them, or when the stream itself fails, an error.
  Result<bool> next(Epoch& epoch);

  // At most kMaxProblems are kept; problem_count() counts all.
  static constexpr std::size_t kMaxProblems = 1000;
  [[nodiscard]] const std::vector<Problem>& problems() const;
  [[nodiscard]] std::size_t problem_count() const;
  // At most 10000 events and 1 MB of their lines are kept.
  [[nodiscard]] const std::vector<Event>& events() const;

 private:
  class Impl;
  explicit ObservationReader(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace stillpoint::rinex

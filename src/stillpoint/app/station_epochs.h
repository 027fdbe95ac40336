// The epochs of one receiver, out of one or several files in time order.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::app {

// Half open; nothing: without an end.
struct EpochSpan {
  std::optional<GnssTime> start, end;
  [[nodiscard]] bool has(GnssTime t) const {
    return (!start || t >= *start) && (!end || t < *end);
  }
};

class StationEpochs {
 public:
  //   errors   what opening the first file reports
  static Result<StationEpochs> open(std::vector<std::string> files,
                                    const EpochSpan& span);

  // Of the first file.
  [[nodiscard]] const rinex::ObservationHeader& header() const {
    return header_;
  }

  // The next epoch in the span, in time order; false at the end.
  //
  //   errors   kMixedInput when a later file is of another marker or antenna
  //            set-up; what reading an observation file reports
  Result<bool> next();
  // After next() was true.
  [[nodiscard]] const Epoch& epoch() const { return epoch_; }

  [[nodiscard]] int count() const { return count_; }
  [[nodiscard]] std::optional<GnssTime> first() const { return first_; }
  [[nodiscard]] std::optional<GnssTime> last() const { return last_; }
  // The shortest step between two epochs so far [s]; nothing: fewer than two.
  [[nodiscard]] std::optional<double> interval_s() const { return interval_s_; }

  // After the last epoch: damaged places, epochs out of order, changes of the
  // antenna within a file.
  [[nodiscard]] std::vector<solve::Warning> warnings() const;

 private:
  StationEpochs() = default;
  Status open_file();
  void leave_file();
  bool take();

  std::vector<std::string> files_;
  std::size_t file_ = 0;  // that is open
  EpochSpan span_;
  std::unique_ptr<EpochReader> reader_;
  rinex::ObservationHeader header_, file_header_;
  Epoch epoch_;
  std::optional<GnssTime> first_, last_;
  std::optional<double> interval_s_;
  int count_ = 0, out_of_order_ = 0;
  std::vector<solve::Warning> warnings_;
};

}  // namespace stillpoint::app

// Epochs in ascending order, as files need them.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/gnss/epoch.h"

namespace stillpoint::intake {

// Bytes [from, to) of a recorded stream.
struct StreamRange {
  std::uint64_t stream = 0, from = 0, to = 0;
  friend bool operator==(const StreamRange&, const StreamRange&) = default;
};

struct RecordedEpoch {
  Epoch epoch;
  StreamRange bytes;  // that it came from, and perhaps some before
  GnssTime received;  // its last byte, or a little later
};

// Holds every epoch until the next one comes. One that comes again, or late, is
// left out; so is a single one that leaps ahead of those that follow, since it
// would keep all of them out.
class EpochOrder {
 public:
  // True where `recorded` was exchanged for the epoch that is next.
  bool exchange(RecordedEpoch& recorded);
  // The last one.
  std::optional<RecordedEpoch> finish();

  // Of the one that is held.
  [[nodiscard]] std::optional<GnssTime> held_time() const {
    return held_ ? std::optional(held_->epoch.time) : std::nullopt;
  }
  [[nodiscard]] std::uint64_t left_out() const { return left_out_; }

 private:
  std::optional<RecordedEpoch> held_;
  std::optional<GnssTime> given_;
  std::uint64_t left_out_ = 0;
};

}  // namespace stillpoint::intake

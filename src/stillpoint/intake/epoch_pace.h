// When recorded bytes are due: by the epochs of the observation messages in
// them, so that a file can be played as its receiver sent it.
#pragma once

#include <cstddef>
#include <optional>

#include "stillpoint/core/bytes.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

class EpochPace {
 public:
  struct Step {
    std::size_t bytes = 0;  // that belong together, at least 1
    double due_s = 0;       // after the first epoch, never less than before
  };
  // The next frame, or the bytes up to it. A frame is due at its epoch, all
  // else with what went before it. A recording that is not of one go (its
  // epochs jump back, or forth by more than ten minutes) goes on at once.
  //
  //   ahead    the next bytes, not empty; unless they are the last, enough for
  //            a whole frame (1029)
  Step next(ByteSpan ahead);

 private:
  void reach(GnssTime epoch);

  std::optional<GnssTime> epoch_;
  double due_s_ = 0;
};

}  // namespace stillpoint::intake

#include "stillpoint/intake/export/epoch_order.h"

#include <utility>

namespace stillpoint::intake {

bool EpochOrder::exchange(RecordedEpoch& recorded) {
  const GnssTime time = recorded.epoch.time;
  if (given_ && time <= *given_) {
    ++left_out_;
    return false;
  }
  if (!held_) {
    held_ = std::move(recorded);
    return false;
  }
  if (time <= held_->epoch.time) {
    ++left_out_;
    if (time < held_->epoch.time) {
      // The held one was ahead of its time.
      std::swap(*held_, recorded);
    }
    return false;
  }
  given_ = held_->epoch.time;
  std::swap(*held_, recorded);
  return true;
}

std::optional<RecordedEpoch> EpochOrder::finish() {
  auto last = std::move(held_);
  held_.reset();
  if (last) {
    given_ = last->epoch.time;
  }
  return last;
}

}  // namespace stillpoint::intake

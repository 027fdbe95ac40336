// Values that the station's threads hand each other: each writes its own, each
// reads what it wants, nobody waits.
#pragma once

#include <memory>
#include <mutex>

#include "stillpoint/station/adopted_watch.h"
#include "stillpoint/station/trust_watch.h"

namespace stillpoint::station {

// What the receiver's thread knows.
struct ControlFacts {
  api::StationStatus status;
  trust::Verdict verdict;
  SentFacts sent;
  config::StationConfig config;
  std::chrono::nanoseconds at{0};
};

//   threads  any; its lock is a leaf
class StatusBoard {
 public:
  void put(std::shared_ptr<const ControlFacts> facts) {
    const std::lock_guard lock(mutex_);
    control_ = std::move(facts);
  }
  // Never nothing once the station has started.
  [[nodiscard]] std::shared_ptr<const ControlFacts> control() const {
    const std::lock_guard lock(mutex_);
    return control_;
  }
  void put_adopted(AdoptedFacts facts) {
    const std::lock_guard lock(mutex_);
    adopted_ = std::move(facts);
  }
  [[nodiscard]] AdoptedFacts adopted() const {
    const std::lock_guard lock(mutex_);
    return adopted_;
  }

 private:
  mutable std::mutex mutex_;
  std::shared_ptr<const ControlFacts> control_;
  AdoptedFacts adopted_;
};

}  // namespace stillpoint::station

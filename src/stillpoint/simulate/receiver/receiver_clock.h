// The clock of a simulated receiver.
#pragma once

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate {

class ReceiverClock {
 public:
  // number: of the receiver in its scenario.
  ReceiverClock(const Scenario& scenario,
                const ReceiverScenario& receiver,
                std::uint64_t number);

  struct Reading {
    double offset_s = 0;  // receiver minus GPST
    double rate = 0;      // of the offset, jumps and jitter left out [s/s]
  };
  // When the receiver's own clock reads scenario time t_s.
  [[nodiscard]] Reading at(double t_s) const;

 private:
  ClockKind kind_;
  bool works_ = false;  // false: never off
  GnssTime start_;
  RandomKey key_;
  double offset_s_ = 0, drift_ = 0, phase_rad_ = 0;
  double held_off_s_ = 0;  // what the scenario adds to all of it
};

}  // namespace stillpoint::simulate

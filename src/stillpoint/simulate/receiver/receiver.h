// A receiver under a simulated sky: epochs as a real one would measure them,
// and beside them what went into each observation.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/simulate/nature/antenna.h"
#include "stillpoint/simulate/receiver/receiver_clock.h"
#include "stillpoint/simulate/receiver/site.h"
#include "stillpoint/simulate/receiver/terms.h"
#include "stillpoint/simulate/receiver/tracking.h"
#include "stillpoint/simulate/sky/sky.h"

namespace stillpoint::simulate {

class SimulatedReceiver {
 public:
  // The receiver of that number in the sky's scenario. The sky outlives it.
  SimulatedReceiver(const Sky& sky, std::size_t number);
  ~SimulatedReceiver();
  SimulatedReceiver(SimulatedReceiver&&) noexcept;
  SimulatedReceiver& operator=(SimulatedReceiver&&) noexcept;

  // What is measured when the receiver's clock reads scenario time t_s; times
  // ascend. Doppler leaves out how the atmosphere changes (millimetres a
  // second).
  //
  //   epoch   emptied first, its memory is reused; no satellites in a gap
  //   terms   what went in; may be nullptr
  //   returns false in a gap: there is no epoch
  bool observe(double t_s, Epoch& epoch, EpochTerms* terms);

  [[nodiscard]] const ReceiverScenario& description() const;
  [[nodiscard]] const Site& site() const;

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

// Loops of a signal's tracking: chip length and the like.
//
//   source  chipping rates of the interface documents (from memory); loops of
//           a usual receiver: common practice, no source
TrackingLoops loops_of(System system, SignalCode signal);

}  // namespace stillpoint::simulate

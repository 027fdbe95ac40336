// The epochs that two receivers observed at the same time.
#pragma once

#include <utility>

#include "stillpoint/app/station_epochs.h"
#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"

namespace stillpoint::app {

// Both in step: tags that differ by less than a tenth of a second and by less
// than a third of the shorter interval are one instant. What the marks of lost
// lock say in epochs without a partner is not handed on: solve/tie_arcs.h does
// not need them.
class EpochPairs {
 public:
  EpochPairs(StationEpochs& here, StationEpochs& there)
      : here_(here), there_(there) {}

  // False at the end of either; the rest of the other is then read too, for
  // its counts and its warnings.
  //
  //   errors   those of StationEpochs::next()
  Result<bool> next();
  [[nodiscard]] const Epoch& here() const { return pair_.first; }
  [[nodiscard]] const Epoch& there() const { return pair_.second; }

 private:
  Result<bool> begin();
  Result<bool> end();
  [[nodiscard]] double tolerance_s() const;

  StationEpochs& here_;
  StationEpochs& there_;
  std::pair<Epoch, Epoch> pair_;
  bool begun_ = false, ended_ = false;
  bool more_here_ = false, more_there_ = false;
};

}  // namespace stillpoint::app

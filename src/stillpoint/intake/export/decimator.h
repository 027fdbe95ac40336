// Picks epochs at a wider interval and keeps what they say of losses of lock.
#pragma once

#include <cstdint>
#include <optional>
#include <set>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint::intake {

// An epoch is taken where it lies within 25 ms of a whole number of intervals
// of GPST (receivers may read a little beside), the first at each. A loss of
// lock seen on an epoch that is dropped stays with the signal until its next
// phase that is taken, however long the satellite is away; an open half cycle
// is that of the epoch taken.
class Decimator {
 public:
  static constexpr double kBesideS = 0.025;

  // interval_s: nothing, and every epoch is taken.
  explicit Decimator(std::optional<double> interval_s);

  // True where it is taken, its losses of lock then complete.
  bool take(Epoch& epoch);

 private:
  struct Signal {
    SatId sat;
    SignalCode signal;
    friend auto operator<=>(const Signal&, const Signal&) = default;
  };
  bool is_due(GnssTime time);
  void remember(const Epoch& epoch);

  std::optional<std::int64_t> interval_ns_;
  std::optional<std::int64_t> taken_;  // number of intervals
  std::set<Signal> lost_;
};

}  // namespace stillpoint::intake

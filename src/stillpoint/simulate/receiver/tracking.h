// What a simulated receiver remembers of a signal: since when it is locked, on
// which ambiguity, and what happened to that.
#pragma once

#include <cstdint>

#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate {

// Chance of a slip against the one at 10 degrees of elevation.
double slip_factor(double elevation_rad);

// How a receiver follows one signal of one satellite.
struct TrackingRules {
  double least_dbhz = 25;
  double slips_per_hour = 0;   // here and now
  double unflagged_share = 0;  // of the slips
  double half_cycle_s = 0;     // open after a lock; 0: never
};

class SignalTrack {
 public:
  explicit SignalTrack(const RandomKey& key) : key_(key) {}

  struct State {
    bool tracked = false;
    bool phase = false;    // its phase is usable
    bool slipped = false;  // since the epoch before
    bool flagged = false;  // and the receiver knows
    bool half_open = false;
    double ambiguity_cyc = 0;  // half cycles too
  };
  // The next epoch, times ascending.
  //
  //   cn0_dbhz     below the least: not tracked
  //   table_slip   cycles that a table makes it slip by since the epoch before
  State next(double t_s,
             double cn0_dbhz,
             const TrackingRules& rules,
             double table_slip_cyc);
  // The receiver was off, or the satellite out of sight.
  void lose() { locked_ = false; }

 private:
  void lock(double t_s, const TrackingRules& rules);
  [[nodiscard]] double slips_by_chance(double from_s,
                                       double to_s,
                                       double per_hour,
                                       bool& flagged,
                                       double unflagged_share) const;

  RandomKey key_;
  bool locked_ = false, ever_ = false;
  double locked_since_s_ = 0, last_s_ = 0;
  double ambiguity_cyc_ = 0, half_cyc_ = 0;
};

}  // namespace stillpoint::simulate

// What a station's signals are like: satellites, C/N0, losses of lock by
// system and signal, and the epochs that came against those expected. Epochs
// in, values out, in bounded memory for as long as a station runs.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/quality/epoch_ledger.h"
#include "stillpoint/quality/minute_rows.h"
#include "stillpoint/quality/recent_strength.h"

namespace stillpoint::quality {

struct SignalState {
  System system = System::kGps;
  SignalCode signal;
  std::uint64_t observations = 0;  // since the start, one a satellite and epoch
  std::uint64_t slips = 0;         // since the start: lock lost, or maybe lost
  bool has_phase = false;          // was seen with a phase
  int satellites = 0;              // now
  // Over the last minute and all satellites; nothing where none came.
  std::optional<double> cn0_mean_dbhz, cn0_min_dbhz;
};

struct SignalSnapshot {
  EpochCounts epochs;
  std::optional<double> interval_s;  // median step
  std::optional<GnssTime> last;      // epoch
  std::optional<double> age_s;       // since it came
  // In the last epoch, by system; none where it came more than a minute ago.
  std::array<int, kSystemCount> satellites{};
  std::vector<SignalState> signals;  // ascending; all that were ever seen
  std::uint64_t minute_rows_lost = 0;
};

class SignalWatch {
 public:
  // Takes the next epoch. One that repeats an instant, or is late, is counted
  // and left out. Signals that no table lists are left out, which bounds them.
  //
  //   received  when it came; nothing for a recording
  void add(const Epoch& epoch, std::optional<GnssTime> received);

  // How it stands.
  //
  //   now  on the clock of the receive times, to know how old the last epoch
  //        is; nothing for a recording
  [[nodiscard]] SignalSnapshot snapshot(std::optional<GnssTime> now) const;

  // The minutes that are over; every sample once. Of a count the sum is what
  // was counted. A sample is
  //   epochs_received_count    1 for each epoch
  //   epochs_missed_count      1 for each missed one, where it should have been
  //   satellites_count.G       the satellites of an epoch
  //   cn0_mean_dbhz.G.1C       the mean of an epoch's satellites
  //   slips_count.G.1C         those of an epoch
  std::vector<MinuteRow> take_minutes(GnssTime now) { return rows_.take(now); }

  // All epochs so far lie so many weeks later than they were said to.
  void move(int weeks);

 private:
  struct Signal {
    std::string cn0_name, slips_name;
    SignalState state;
    RecentStrength strength;
    // Of the epoch in work.
    int rows = 0, slips = 0, strengths = 0;
    double strength_sum_dbhz = 0;
  };
  struct Id {
    System system;
    SignalCode code;
    friend auto operator<=>(const Id&, const Id&) = default;
  };
  Signal* find(Id id);
  void gather(const Epoch& epoch);
  void settle(GnssTime t);
  void add_missed(const EpochLedger::Entry& entry, GnssTime t);

  EpochLedger ledger_;
  MinuteRows rows_;
  std::map<Id, Signal> signals_;
  std::array<int, kSystemCount> satellites_{};
  std::array<bool, kSystemCount> seen_{};
};

}  // namespace stillpoint::quality

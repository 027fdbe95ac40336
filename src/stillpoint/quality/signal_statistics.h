// Statistics of a receiver's signals over a session, to compare antennas,
// receivers and sites: one pass over its epochs, in bounded memory.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/quality/epoch_ledger.h"
#include "stillpoint/quality/expected_signals.h"
#include "stillpoint/quality/signal_report.h"

namespace stillpoint::quality {

struct StatisticsOptions {
  // By slot number, where a file's header knows them; else the orbits do.
  std::map<SatId, int> glonass_channels{};
  // Nothing: learnt from the epochs.
  std::optional<double> interval_s{};
};

class SignalStatistics {
 public:
  explicit SignalStatistics(StatisticsOptions options = {});
  ~SignalStatistics();
  SignalStatistics(SignalStatistics&&) noexcept;
  SignalStatistics& operator=(SignalStatistics&&) noexcept;

  // Takes the next epoch; one that repeats an instant or is late is left out,
  // and so are signals that no table lists.
  //
  //   position  of the antenna, to some kilometres
  //   orbits    satellites without one count as "elevation unknown", and are
  //             not expected
  void add(const Epoch& epoch, const Ecef& position, const OrbitSource& orbits);

  // As it stands, arcs that go on included.
  [[nodiscard]] SignalReport report() const;

 private:
  struct Totals;  // of a system's signal
  struct Track;   // of a satellite's signal
  struct Satellite;
  struct Measured;  // in the epoch in work
  [[nodiscard]] std::optional<double> interval_s() const;
  [[nodiscard]] double longest_gap_s() const;
  void add_missed(GnssTime t, const Ecef& position, const OrbitSource& orbits);
  void forget_phases();
  void take(SatId sat,
            std::span<const Observation> rows,
            GnssTime t,
            const OrbitSource& orbits);
  void measure(Satellite& satellite,
               SatId sat,
               std::span<const Observation> rows,
               const OrbitSource& orbits);
  void follow_phases(Satellite& satellite, GnssTime t);
  void add_codes(Satellite& satellite, System system, GnssTime t);
  void add_multipath(Satellite& satellite,
                     System system,
                     GnssTime t,
                     const Measured& own);
  Totals& totals_of(SignalId id);

  StatisticsOptions options_;
  EpochLedger ledger_;
  ExpectedSignals expected_;
  SignalReport session_;  // its counts of epochs
  std::map<SignalId, std::unique_ptr<Totals>> totals_;
  std::map<SatId, std::unique_ptr<Satellite>> satellites_;
  std::vector<Measured> measured_;
};

}  // namespace stillpoint::quality

// Delays of signals in satellites and stations, code and phase, as a bias
// product gives them, and the lookup of those of satellites.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {

enum class BiasKind : std::uint8_t {
  kObservable,   // OSB: of one observable
  kDifference,   // DSB: first observable minus second
  kIntersystem,  // ISB: between systems
};
enum class BiasUnit : std::uint8_t { kNanoseconds, kCycles };

// A slope of the bias over its interval, per second, and its sigma.
struct BiasSlope {
  double per_s = 0;
  std::optional<double> sigma_per_s;
  friend bool operator==(const BiasSlope&, const BiasSlope&) = default;
};

// One row, numbers in the unit of the row.
struct BiasRow {
  BiasKind kind = BiasKind::kObservable;
  BiasUnit unit = BiasUnit::kNanoseconds;
  System system = System::kGps;
  std::optional<SatId> satellite;  // nothing: of a station alone
  std::string svn;                 // "G080", may be empty
  std::string station;             // empty: of the satellite
  // Observables, "C1W", "L5Q"; the second is empty for an OSB.
  std::string first, second;
  std::optional<GnssTime> from, until;  // nothing: open
  double value = 0;
  std::optional<double> sigma;
  std::optional<BiasSlope> slope;
  friend bool operator==(const BiasRow&, const BiasRow&) = default;
};

// A block of the file that is kept as its lines.
struct TextBlock {
  std::string name;
  std::vector<std::string> lines;
  friend bool operator==(const TextBlock&, const TextBlock&) = default;
};

// The content of one bias file.
struct BiasProduct {
  std::string source;               // path, for messages
  std::string agency, data_agency;  // of the file and of its data
  std::optional<GnssTime> created, from, until;
  TimeScale scale = TimeScale::kGps;  // of the file; instants here are GPST
  bool absolute = true;               // mode in the first line: A or R
  std::uint64_t declared_rows = 0;    // the first line's count
  // BIAS/DESCRIPTION: keyword and text, in order; also those that mean nothing
  // here (models, spacings).
  std::vector<std::pair<std::string, std::string>> description;
  std::vector<TextBlock> blocks;  // all others
  std::vector<BiasRow> rows;

  // Text of the first line with this keyword, empty when there is none.
  [[nodiscard]] std::string_view text_of(std::string_view keyword) const;
  // What a system's satellite clocks refer to ("C1W", "C2W" for GPS), by
  // SATELLITE_CLOCK_REFERENCE_OBSERVABLES; empty: not said.
  [[nodiscard]] std::vector<std::string> clock_reference(System system) const;
};

// A signal of an observable's name: "C1W" is code 1W, "L5Q" phase 5Q.
struct BiasSignal {
  SignalCode signal;
  bool phase = false;
};
std::optional<BiasSignal> parse_bias_signal(std::string_view observable);

// Biases of satellites' observables (OSB rows without a station).
//
//   use       corrected = observed - c * bias, with clocks of the same product
//   rows      hold from their start to their end, both included; of several
//             that hold, the one that starts last. A product added first goes
//             before a later one
//   slope     value + slope * (t - start of the row). The day of 15-minute rows
//             at hand is continuous to 3 ps so, against 5 and 8 ps with the
//             middle or the end of the row (products data test)
//   threads   the const functions may be called from several at once
class CodePhaseBiases {
 public:
  // Keeps the rows that the lookup can use.
  //
  //   errors   kMixedInput for a product with biases relative to others when
  //            absolute ones were added before, or the reverse
  Status add(const BiasProduct& product);

  // Bias of exactly this signal [s]; nothing where no row holds. Rows in
  // cycles are divided by the carrier's frequency.
  //
  //   glonass_channel   needed for rows in cycles of GLONASS bands 1 and 2
  [[nodiscard]] std::optional<double> osb_s(
      SatId sat,
      SignalCode signal,
      bool phase,
      GnssTime t,
      std::optional<int> glonass_channel = {}) const;
  // Its sigma [s], by the same rules; nothing also where none is given.
  [[nodiscard]] std::optional<double> sigma_s(
      SatId sat,
      SignalCode signal,
      bool phase,
      GnssTime t,
      std::optional<int> glonass_channel = {}) const;

 private:
  struct Key {
    SatId sat;
    SignalCode signal;
    bool phase = false;
    friend auto operator<=>(const Key&, const Key&) = default;
  };
  struct Entry {
    Key key;
    std::int64_t from_ns = 0, until_ns = 0;
    double value = 0, slope_per_s = 0, sigma = 0;  // sigma NaN: not given
    BiasUnit unit = BiasUnit::kNanoseconds;
  };
  [[nodiscard]] const Entry* find(const Key& key, GnssTime t) const;

  std::vector<std::vector<Entry>> layers_;
  std::optional<bool> absolute_;
};

}  // namespace stillpoint

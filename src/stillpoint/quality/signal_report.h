// What SignalStatistics says, by system and by signal.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/quality/code_noise.h"
#include "stillpoint/quality/multipath_arcs.h"
#include "stillpoint/quality/strength_bins.h"

namespace stillpoint::quality {

struct SignalId {
  System system = System::kGps;
  SignalCode code;
  friend auto operator<=>(const SignalId&, const SignalId&) = default;
};

// Observations that came, of those that were to be expected: satellites with a
// healthy orbit above ten degrees, at every epoch of the session's interval.
struct Completeness {
  std::uint64_t expected = 0, received = 0;
  // Nothing where nothing was expected.
  [[nodiscard]] std::optional<double> share() const {
    return expected == 0 ? std::nullopt
                         : std::optional(static_cast<double>(received) /
                                         static_cast<double>(expected));
  }
};

struct SlipFigures {
  std::uint64_t phases = 0;       // observations of the phase
  std::uint64_t checked = 0;      // of them compared with another phase
  std::uint64_t slips = 0;        // in tracked phases, whatever found them
  std::uint64_t flagged = 0;      // of them with the receiver's flag
  std::uint64_t flags = 0;        // the receiver's, first epochs included
  std::uint64_t half_cycles = 0;  // observations with the half-cycle flag
  // Nothing without a slip.
  [[nodiscard]] std::optional<double> observations_per_slip() const {
    return slips == 0 ? std::nullopt
                      : std::optional(static_cast<double>(phases) /
                                      static_cast<double>(slips));
  }
};

struct SignalFigures {
  SignalId id;
  int satellites = 0;  // that were seen with it
  ByElevation<StrengthFigures> strength{};
  MultipathSums multipath;
  CodeNoiseSums noise;
  SlipFigures slips;
  // Of the satellites that were seen with it at least once: a code, and a
  // phase on its band.
  Completeness completeness;
};

struct SystemFigures {
  System system = System::kGps;
  int satellites_expected = 0;  // above ten degrees at some time
  int satellites_seen = 0;
  // Of all satellites with an orbit: a code and a phase; on two bands.
  Completeness completeness, two_bands;
};

struct SignalReport {
  std::optional<GnssTime> first, last;
  std::optional<double> interval_s;
  std::uint64_t epochs = 0;
  std::uint64_t missed = 0;            // between the first and the last
  std::uint64_t left_out = 0;          // out of order
  std::vector<SystemFigures> systems;  // that were seen; ascending
  std::vector<SignalFigures> signals;  // ascending
};

}  // namespace stillpoint::quality

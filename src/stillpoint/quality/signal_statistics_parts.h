// What SignalStatistics keeps of signals and satellites. Inside this module
// only.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "stillpoint/quality/signal_statistics.h"
#include "stillpoint/quality/slip_counter.h"

namespace stillpoint::quality {

struct SignalStatistics::Totals {
  StrengthBins strength;
  MultipathSums multipath;
  CodeNoiseSums noise;
  SlipFigures slips;
};

struct SignalStatistics::Track {
  SignalCode signal;
  std::uint64_t received = 0;    // while the satellite was expected
  std::uint32_t continuity = 0;  // goes up when the phase breaks
  CodeNoise noise;
  MultipathArc multipath;
  // The phases that noise and arc go with, and how they stood.
  SignalCode carrier, partner;
  std::uint32_t carrier_continuity = 0, partner_continuity = 0;
};

struct SignalStatistics::Satellite {
  std::uint64_t received = 0, received_two_bands = 0;  // while expected
  std::optional<GnssTime> last;
  SlipCounter slips;
  std::vector<Track> tracks;

  Track& track_of(SignalCode signal) {
    const auto found =
        std::find_if(tracks.begin(), tracks.end(), [&](const Track& track) {
          return track.signal == signal;
        });
    if (found != tracks.end()) {
      return *found;
    }
    tracks.emplace_back().signal = signal;
    return tracks.back();
  }
};

struct SignalStatistics::Measured {
  SignalCode signal;
  Totals* totals = nullptr;
  Track* track = nullptr;
  std::size_t place = kUnknownElevation;
  bool expected = false;
  std::uint8_t lli = 0;
  double cn0_dbhz = kMissing, code_m = kMissing;
  double frequency_hz = 0;    // 0: not known
  double phase_m = kMissing;  // missing as well without the frequency
  bool has_phase = false;
  PhaseVerdict verdict{};
  // Phase that goes with the code: its own, else another one on its band.
  const Measured* carrier = nullptr;

  [[nodiscard]] bool has_both() const {
    return std::isfinite(code_m) && carrier != nullptr;
  }
  [[nodiscard]] bool is_usable() const {
    return has_both() && std::isfinite(carrier->phase_m) &&
           !carrier->verdict.doubtful;
  }
};

}  // namespace stillpoint::quality

// What a receiver measured at one instant. Codecs fill it, solvers and quality
// read it; nobody downstream knows which format it came from.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

inline constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();
inline bool is_present(double v) {
  return !std::isnan(v);
}

// One signal of one satellite. NaN (kMissing) stands for a value that was not
// measured; a zero in a file is a missing value too.
struct Observation {
  double code_m = kMissing;
  double phase_cyc = kMissing;
  double doppler_hz = kMissing;  // positive for an approaching satellite
  double cn0_dbhz = kMissing;
  SignalCode signal;
  // Bits of the phase's loss-of-lock indicator: 1 lock lost since the last
  // epoch, 2 half-cycle ambiguity open, 4 as the file's version says.
  std::uint8_t lli = 0;
  std::uint8_t phase_strength = 0;  // RINEX 1..9, 0 unknown
  std::uint8_t code_strength = 0;

  [[nodiscard]] bool any() const {
    return is_present(code_m) || is_present(phase_cyc) ||
           is_present(doppler_hz) || is_present(cn0_dbhz);
  }
};

// A satellite's run of rows in Epoch::observations.
struct SatRows {
  SatId sat;
  std::uint16_t count = 0;
  std::uint32_t first = 0;
};

// RINEX event flags 0, 1 and 6; the others never become an Epoch.
enum class EpochFlag : std::uint8_t {
  kOk = 0,
  kPowerFailure = 1,  // between the previous epoch and this one
};

struct Epoch {
  GnssTime time;  // receiver's reading, as GPST
  EpochFlag flag = EpochFlag::kOk;
  std::optional<double> receiver_clock_s;  // offset given in the file
  std::vector<SatRows> satellites;         // in the order of the source
  std::vector<Observation> observations;   // rows with at least one value

  [[nodiscard]] std::span<const Observation> rows(const SatRows& s) const {
    return std::span(observations).subspan(s.first, s.count);
  }
  // Forgets the content, keeps the memory.
  void clear() {
    flag = EpochFlag::kOk;
    receiver_clock_s.reset();
    satellites.clear();
    observations.clear();
  }
};

}  // namespace stillpoint

// What the files of SlipCounter share. Inside this module only.
#pragma once

#include <cmath>
#include <limits>

#include "stillpoint/geo/coords.h"
#include "stillpoint/quality/slip_counter.h"

namespace stillpoint::quality {

inline double wavelength_m(const PhaseSample& s) {
  return kSpeedOfLightMps / s.frequency_hz;
}

// Signals nearer than 0.1 MHz share a band.
inline bool same_band(const PhaseSample& a, const PhaseSample& b) {
  return std::abs(a.frequency_hz - b.frequency_hz) < 0.1e6;
}

}  // namespace stillpoint::quality

// Units of the legacy observations, for both directions.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/signal.h"

namespace stillpoint::rtcm {

inline constexpr double kLegacyCodesPerMetre = 50;     // 0.02 m
inline constexpr double kLegacyPhasesPerMetre = 2000;  // 0.0005 m
inline constexpr double kLegacyCn0PerDbhz = 4;         // 0.25 dB-Hz
inline constexpr double kLegacyRollOverCyc = 1500;
inline constexpr int kGlonassChannelOffset = 7;  // DF040 less the channel

// Satellite numbers of GPS messages: 1 .. 32 GPS, 40 .. 58 SBAS (PRN less 80,
// RINEX number plus 20). GLONASS: the slots.
inline constexpr int kLastGps = 32;
inline constexpr int kFirstSbas = 40, kLastSbas = 58;
inline constexpr int kSbasOffset = 20;
inline constexpr int kLastGlonass = 24;

// What the code is counted modulo [m]: one millisecond of light, two of
// GLONASS.
constexpr double legacy_whole_m(System system) {
  const double ms_m = kSpeedOfLightMps / 1000;
  return system == System::kGlonass ? 2 * ms_m : ms_m;
}

// Metres a cycle; nothing for a GLONASS channel that does not exist.
inline std::optional<double> wavelength_m(System system,
                                          char band,
                                          std::optional<int> channel) {
  const auto hz = frequency_hz(system, band, channel);
  return hz ? std::optional(kSpeedOfLightMps / *hz) : std::nullopt;
}

}  // namespace stillpoint::rtcm

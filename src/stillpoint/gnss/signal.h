// Signals by RINEX 4 band digit and attribute letter, and their frequencies.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/gnss/satellite.h"

namespace stillpoint {

// "1C", "5Q": the second and third character of a RINEX 3/4 observation code.
// Which system it belongs to is the satellite's business. {0, 0} is no signal.
struct SignalCode {
  char band = 0;
  char attribute = 0;
  friend auto operator<=>(const SignalCode&, const SignalCode&) = default;
  [[nodiscard]] constexpr bool empty() const { return band == 0; }
  [[nodiscard]] std::string text() const;  // "1C"
};

// True when the RINEX 4.02 tables list this code for the system.
//
//   source   RINEX 4.02 (IGS/RTCM, 2024), tables of observation codes by
//            system; shared checks section 7
bool is_known_signal(System system, SignalCode signal);

// Carrier frequency [Hz].
//
//   glonass_channel   -7 .. 13, needed for GLONASS bands 1 and 2 (FDMA)
//   returns   nothing for a band the system does not have, or a GLONASS FDMA
//             band without its channel
//   source    RINEX 4.02, frequency column of the observation code tables
std::optional<double> frequency_hz(System system,
                                   char band,
                                   std::optional<int> glonass_channel = {});

}  // namespace stillpoint

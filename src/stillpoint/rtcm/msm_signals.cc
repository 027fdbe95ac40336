#include "stillpoint/rtcm/msm_signals.h"

#include <array>
#include <cstddef>
#include <string_view>

namespace stillpoint::rtcm {
namespace {

constexpr std::size_t kNumbers = 33;  // 0 is not used

// Two characters a signal number, from number 1 on; ".." is reserved.
constexpr std::array<std::string_view, kSystemCount> kText{
    // GPS
    "..1C1P1W......2C2P2W........2S2L"
    "2X........5I5Q5X..........1S1L1X",
    // GLONASS
    "..1C1P........2C2P.............."
    "................................",
    // Galileo
    "..1C1A1B1X1Z..6C6A6B6X6Z..7I7Q7X"
    "..8I8Q8X..5I5Q5X................",
    // BeiDou
    "..2I2Q2X......6I6Q6X......7I7Q7X"
    "..........5D5P5X7D........1D1P1X",
    // QZSS
    "..1C............6S6L6X......2S2L"
    "2X........5I5Q5X..........1S1L1X",
    // SBAS
    "..1C............................"
    "..........5I5Q5X................",
    // NavIC
    "................................"
    "..........5A....................",
};

using Row = std::array<SignalCode, kNumbers>;

constexpr std::array<Row, kSystemCount> make_table() {
  std::array<Row, kSystemCount> table{};
  for (std::size_t s = 0; s < table.size(); ++s) {
    for (std::size_t i = 1; i < kNumbers; ++i) {
      const char band = kText[s][2 * i - 2];
      if (band != '.') {
        table[s][i] = {band, kText[s][2 * i - 1]};
      }
    }
  }
  return table;
}

constexpr std::array<Row, kSystemCount> kTable = make_table();
constexpr int kFirstSbas = 20;  // S20 is PRN 120

}  // namespace

SignalCode msm_signal(System system, unsigned number) {
  return number < kNumbers ? kTable[static_cast<std::size_t>(system)][number]
                           : SignalCode{};
}

std::optional<unsigned> msm_signal_number(System system, SignalCode signal) {
  const Row& row = kTable[static_cast<std::size_t>(system)];
  for (unsigned i = 1; i < kNumbers; ++i) {
    if (row[i] == signal && !signal.empty()) {
      return i;
    }
  }
  return std::nullopt;
}

SatId msm_satellite(System system, unsigned position) {
  const int number = static_cast<int>(position) +
                     (system == System::kSbas ? kFirstSbas - 1 : 0);
  return {system, static_cast<std::uint8_t>(number)};
}

std::optional<unsigned> msm_satellite_position(SatId sat) {
  const int position =
      sat.number - (sat.system == System::kSbas ? kFirstSbas - 1 : 0);
  if (position < 1 || position > 64) {
    return std::nullopt;
  }
  return static_cast<unsigned>(position);
}

}  // namespace stillpoint::rtcm

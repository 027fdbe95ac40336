// Settings of the code-range solution.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/solve/terms.h"

namespace stillpoint::solve {

// A set of systems.
class SystemSet {
 public:
  static SystemSet all() { return SystemSet(0xff); }
  SystemSet() = default;
  void add(System s) { bits_ |= bit(s); }
  void remove(System s) { bits_ &= ~bit(s); }
  [[nodiscard]] bool has(System s) const { return (bits_ & bit(s)) != 0; }

 private:
  explicit SystemSet(unsigned bits) : bits_(bits) {}
  static unsigned bit(System s) { return 1u << static_cast<unsigned>(s); }
  unsigned bits_ = 0;
};

struct CodeOptions {
  // GPS, GLONASS, Galileo, BeiDou and QZSS are used; others never.
  SystemSet systems = SystemSet::all();
  double elevation_mask_rad = 7.0 * 3.14159265358979 / 180.0;
  TermSet without;
  // From the marker to the antenna reference point, from the header.
  Enu antenna_delta_enu_m;
  // What the file's header says, only to compare with.
  std::optional<Ecef> header_position_m;
  // GLONASS channels that the observation file states.
  std::array<std::optional<int>, 100> glonass_channel{};
  // Broadcast ionosphere, for satellites with one frequency.
  IonosphereParameters ionosphere;
};

}  // namespace stillpoint::solve

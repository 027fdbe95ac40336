// Where a satellite is and what its clock says: broadcast or precise, the
// solvers do not know which.
#pragma once

#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// State at an instant of GPST, in ECEF axes of that same instant.
struct SatelliteState {
  Ecef position_m;
  Ecef velocity_mps;  // in the rotating frame
  // Satellite clock minus GPST [s], without the periodic relativistic term.
  double clock_s = 0;
  // Periodic relativistic term [s], to be added to clock_s.
  double relativity_s = 0;
  // What the position refers to: false for the antenna's phase centre, true
  // for the centre of mass (an antenna offset is still to be added).
  bool centre_of_mass = false;
  // One-sigma range error expected of orbit and clock together [m].
  double range_sigma_m = 0;
  // Issue of data of a broadcast set, -1 for precise products.
  int issue = -1;
};

// Why a source has no state for a satellite.
enum class NoState {
  kUnknownSatellite,  // nothing at all for this satellite
  kOutsideValidity,   // data, but not for this time
  kUnhealthy,         // the satellite says so
  kNoClock,           // position without a clock
};
const char* no_state_name(NoState reason);  // "unknown_satellite", …

class OrbitSource {
 public:
  virtual ~OrbitSource() = default;

  // State at GPST instant t, or the reason why not.
  [[nodiscard]] virtual tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const = 0;

  // Delay of a signal's code behind the one(s) the satellite clock refers to
  // [s]; subtract c times it from the observed code. Nothing: not known.
  [[nodiscard]] virtual std::optional<double> group_delay_s(
      SatId sat, GnssTime t, SignalCode signal) const = 0;

  // GLONASS frequency channel where the source knows it.
  [[nodiscard]] virtual std::optional<int> glonass_channel(SatId sat) const = 0;

  // Frame label of the positions, as the source writes it ("IGb14"), or
  // "WGS84" for broadcast orbits.
  [[nodiscard]] virtual std::string frame_label() const = 0;
};

}  // namespace stillpoint

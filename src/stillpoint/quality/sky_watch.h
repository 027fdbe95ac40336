// Where the satellites stand as seen from the antenna: those that are received,
// those that should be, their ways over the last hours.
#pragma once

#include <array>
#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint::quality {

struct SkySignal {
  SignalCode code;
  double cn0_dbhz = 0;
};

struct SkySatellite {
  SatId sat;
  std::optional<AzEl> place;  // nothing: no ephemeris
  bool seen = false;
  std::vector<SkySignal> signals;  // those with a C/N0
};

struct SkyPoint {
  GnssTime at;
  double azimuth_rad = 0, elevation_rad = 0;
};

struct SkyTrack {
  SatId sat;
  std::vector<SkyPoint> points;  // oldest first
};

struct SkySnapshot {
  std::optional<GnssTime> at;            // epoch
  std::vector<SkySatellite> satellites;  // by system and number
  std::vector<SkyTrack> tracks;
};

class SkyWatch {
 public:
  static constexpr double kStepS = 300, kWindowS = 3 * 3600;

  // Takes an epoch; satellites are placed once in a while only.
  //
  //   at   the antenna, to a kilometre; nothing: no places yet
  void add(const Epoch& epoch,
           const OrbitSource& orbits,
           const std::optional<Ecef>& at);

  [[nodiscard]] SkySnapshot snapshot(const OrbitSource& orbits,
                                     const std::optional<Ecef>& at) const;

 private:
  std::optional<GnssTime> last_, tracked_;
  std::map<SatId, std::vector<SkySignal>> seen_;
  std::map<SatId, std::deque<SkyPoint>> tracks_;
};

}  // namespace stillpoint::quality

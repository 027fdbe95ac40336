// Satellites at chosen elevations and their observations, made up for the
// tests of the signal statistics.
#pragma once

#include <cmath>
#include <map>
#include <random>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint::quality {

inline const GnssTime kSessionStart = GnssTime::from_gps_week(2340, 345'600);
// On the equator, at longitude 0: up is x, north is z.
inline constexpr Ecef kAntenna{6'378'137.0, 0, 0};

inline double rad(double deg) {
  return deg * 0.017453292519943295;
}

// Stands still over the antenna's north.
class FixedSky final : public OrbitSource {
 public:
  std::map<SatId, double> elevation_rad;

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime) const override {
    const auto found = elevation_rad.find(sat);
    if (found == elevation_rad.end()) {
      return tl::unexpected(NoState::kUnknownSatellite);
    }
    SatelliteState s;
    s.position_m =
        kAntenna +
        2.2e7 * Ecef{std::sin(found->second), 0, std::cos(found->second)};
    return s;
  }
  [[nodiscard]] std::optional<double> group_delay_s(SatId,
                                                    GnssTime,
                                                    SignalCode) const override {
    return std::nullopt;
  }
  [[nodiscard]] std::optional<int> glonass_channel(SatId) const override {
    return std::nullopt;
  }
  [[nodiscard]] std::string frame_label() const override { return "invented"; }
};

// What a signal measures of a range, an ionosphere and its own errors.
struct MadeSignal {
  SignalCode code{};
  double multipath_m = 0, noise_m = 0, phase_noise_m = 0;
  double cycles = 0;  // ambiguity
  int lli = 0;
  double cn0_dbhz = 45;
};

// ionosphere_m is the delay of the first band of GPS.
inline Observation observe(System system,
                           const MadeSignal& s,
                           double range_m,
                           double ionosphere_m) {
  const double f = *frequency_hz(system, s.code.band, 0);
  const double delay_m = ionosphere_m * std::pow(1575.42e6 / f, 2);
  Observation o;
  o.signal = s.code;
  o.code_m = range_m + delay_m + s.multipath_m + s.noise_m;
  o.phase_cyc =
      (range_m - delay_m + s.phase_noise_m) * f / kSpeedOfLightMps + s.cycles;
  o.cn0_dbhz = s.cn0_dbhz;
  o.lli = static_cast<std::uint8_t>(s.lli);
  return o;
}

inline void append(Epoch& epoch,
                   SatId sat,
                   const std::vector<Observation>& rows) {
  epoch.satellites.push_back(
      {sat,
       static_cast<std::uint16_t>(rows.size()),
       static_cast<std::uint32_t>(epoch.observations.size())});
  epoch.observations.insert(epoch.observations.end(), rows.begin(), rows.end());
}

}  // namespace stillpoint::quality

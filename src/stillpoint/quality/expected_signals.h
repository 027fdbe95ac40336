// Which satellites stood high enough to be received, and for how many epochs.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint::quality {

class ExpectedSignals {
 public:
  // Satellites are expected above ten degrees.
  static constexpr double kMaskRad = 10 * 0.017453292519943295;

  // Elevations are renewed when so much time has gone by; until then they are
  // off by at most 0.3 degrees.
  static constexpr double kRenewS = 30;

  // Epochs of the receiver, whether they came or not.
  //
  //   count  so many from t on, all within kRenewS
  void add(GnssTime t,
           const Ecef& position,
           const OrbitSource& orbits,
           std::uint64_t count = 1);

  // At the epoch added last; nothing for a satellite that has no orbit, is not
  // healthy, or for a position that is none.
  [[nodiscard]] std::optional<double> elevation_rad(SatId sat) const {
    return elevations_rad_.at(static_cast<std::size_t>(sat.index()));
  }
  [[nodiscard]] bool is_expected(SatId sat) const {
    return elevation_rad(sat).value_or(0) >= kMaskRad;
  }
  // Epochs for which the satellite was expected.
  [[nodiscard]] std::uint64_t epochs(SatId sat) const {
    return epochs_.at(static_cast<std::size_t>(sat.index()));
  }

 private:
  void renew(GnssTime t, const Ecef& position, const OrbitSource& orbits);

  std::optional<GnssTime> renewed_;
  std::array<std::optional<double>, SatId::kIndexCount> elevations_rad_{};
  std::array<std::uint64_t, SatId::kIndexCount> epochs_{};
};

}  // namespace stillpoint::quality

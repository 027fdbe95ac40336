// The broadcast sets of a stream that goes on, in bounded memory: those near
// to now.
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <vector>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

class LiveNavigation {
 public:
  // Of one satellite; the one farthest from now goes first.
  static constexpr std::size_t kMostSets = 8;

  // Takes a set; one that is there already, or that cannot be an orbit, is
  // dropped.
  //
  //   now  nothing where no clock and no epoch tells: the oldest set goes, as
  //        it does where the clock is more than a day behind the sets
  void add(const KeplerEphemeris& e, std::optional<GnssTime> now);
  void add(const StateEphemeris& e, std::optional<GnssTime> now);
  // Sets of a file, and its ionosphere parameters in place of those before.
  void add(const NavigationData& data, std::optional<GnssTime> now);

  // Satellites with a set whose validity holds `now`, by system.
  [[nodiscard]] std::array<int, kSystemCount> fresh(GnssTime now) const;

  // All sets, to be used for positions; valid until the next add().
  const BroadcastOrbits& orbits();

 private:
  std::map<SatId, std::vector<KeplerEphemeris>> kepler_;
  std::map<SatId, std::vector<StateEphemeris>> state_;
  IonosphereParameters ionosphere_;
  BroadcastOrbits orbits_;
  bool changed_ = false;  // since orbits_ was made
};

}  // namespace stillpoint::intake

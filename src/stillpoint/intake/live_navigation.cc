#include "stillpoint/intake/live_navigation.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace stillpoint::intake {
namespace {

constexpr double kFarthestAheadS = 86'400;

auto identity(const KeplerEphemeris& e) {
  return std::tuple(
      e.message, e.toe, e.toc, e.iode, e.iodc, e.health, e.m0_rad, e.af0_s);
}

auto identity(const StateEphemeris& e) {
  return std::tuple(
      e.toe, e.issue, e.health, e.position_m.x_m, e.position_m.z_m, e.clock_s);
}

// Which of the sets is to go: the one farthest from now. Sets are sent some
// hours ahead at most, so a clock that is far behind them is none, and the
// oldest goes.
template <class Ephemeris>
auto to_drop(const std::vector<Ephemeris>& sets, std::optional<GnssTime> now) {
  const auto older = [](const Ephemeris& a, const Ephemeris& b) {
    return a.toe < b.toe;
  };
  const auto newest = std::max_element(sets.begin(), sets.end(), older);
  if (!now || (newest->toe - *now).s > kFarthestAheadS) {
    return std::min_element(sets.begin(), sets.end(), older);
  }
  return std::max_element(
      sets.begin(), sets.end(), [now](const Ephemeris& a, const Ephemeris& b) {
        return std::abs((a.toe - *now).s) < std::abs((b.toe - *now).s);
      });
}

// True where the set is new.
template <class Ephemeris>
bool keep(std::map<SatId, std::vector<Ephemeris>>& all,
          const Ephemeris& e,
          std::optional<GnssTime> now) {
  if (e.sat.number < 1 || e.sat.number > 99 || !is_plausible(e)) {
    return false;
  }
  std::vector<Ephemeris>& sets = all[e.sat];
  if (std::any_of(sets.begin(), sets.end(), [&e](const Ephemeris& other) {
        return identity(other) == identity(e);
      })) {
    return false;
  }
  sets.push_back(e);
  if (sets.size() > LiveNavigation::kMostSets) {
    sets.erase(to_drop(sets, now));
  }
  return true;
}

template <class Ephemeris>
void count_fresh(const std::map<SatId, std::vector<Ephemeris>>& all,
                 GnssTime now,
                 std::array<int, kSystemCount>& counts) {
  for (const auto& [sat, sets] : all) {
    const bool fresh =
        std::any_of(sets.begin(), sets.end(), [now](const Ephemeris& e) {
          return std::abs((e.toe - now).s) <= validity_s(e);
        });
    counts[static_cast<std::size_t>(sat.system)] += fresh ? 1 : 0;
  }
}

template <class T>
void take_newer(std::optional<T>& mine, const std::optional<T>& theirs) {
  if (theirs) {
    mine = theirs;
  }
}

}  // namespace

void LiveNavigation::add(const KeplerEphemeris& e,
                         std::optional<GnssTime> now) {
  changed_ = keep(kepler_, e, now) || changed_;
}

void LiveNavigation::add(const StateEphemeris& e, std::optional<GnssTime> now) {
  changed_ = keep(state_, e, now) || changed_;
}

void LiveNavigation::add(const NavigationData& data,
                         std::optional<GnssTime> now) {
  for (const KeplerEphemeris& e : data.kepler) {
    add(e, now);
  }
  for (const StateEphemeris& e : data.state) {
    add(e, now);
  }
  take_newer(ionosphere_.gps, data.ionosphere.gps);
  take_newer(ionosphere_.beidou, data.ionosphere.beidou);
  take_newer(ionosphere_.qzss, data.ionosphere.qzss);
  take_newer(ionosphere_.navic, data.ionosphere.navic);
  take_newer(ionosphere_.galileo, data.ionosphere.galileo);
  changed_ = true;
}

std::array<int, kSystemCount> LiveNavigation::fresh(GnssTime now) const {
  std::array<int, kSystemCount> counts{};
  count_fresh(kepler_, now, counts);
  count_fresh(state_, now, counts);
  return counts;
}

const BroadcastOrbits& LiveNavigation::orbits() {
  if (changed_) {
    NavigationData data;
    data.ionosphere = ionosphere_;
    for (const auto& [sat, sets] : kepler_) {
      data.kepler.insert(data.kepler.end(), sets.begin(), sets.end());
    }
    for (const auto& [sat, sets] : state_) {
      data.state.insert(data.state.end(), sets.begin(), sets.end());
    }
    orbits_ = BroadcastOrbits();
    orbits_.add(data);
    changed_ = false;
  }
  return orbits_;
}

}  // namespace stillpoint::intake

#include "stillpoint/quality/sky_watch.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::quality {
namespace {

// Satellites of these systems are looked for above the horizon; of the others
// (SBAS, NavIC) no ephemerides come by the streams that we read.
constexpr std::array kPlaced{System::kGps,
                             System::kGlonass,
                             System::kGalileo,
                             System::kBeidou,
                             System::kQzss};
constexpr std::uint8_t kMostNumber = 63;

std::optional<AzEl> place(SatId sat,
                          GnssTime t,
                          const OrbitSource& orbits,
                          const Ecef& at,
                          const Mat3& enu_R_ecef) {
  const auto state = orbits.state(sat, t);
  if (!state) {
    return std::nullopt;
  }
  return azimuth_elevation(enu_R_ecef, state->position_m - at);
}

}  // namespace

void SkyWatch::add(const Epoch& epoch,
                   const OrbitSource& orbits,
                   const std::optional<Ecef>& at) {
  if (last_ && epoch.time < *last_) {  // a clock set back: begin afresh
    tracked_.reset();
    tracks_.clear();
  }
  last_ = epoch.time;
  seen_.clear();
  for (const SatRows& rows : epoch.satellites) {
    std::vector<SkySignal>& signals = seen_[rows.sat];
    for (const Observation& o : epoch.rows(rows)) {
      if (is_present(o.cn0_dbhz)) {
        signals.push_back({o.signal, o.cn0_dbhz});
      }
    }
  }
  if (!at || (tracked_ && (epoch.time - *tracked_).s < kStepS)) {
    return;
  }
  tracked_ = epoch.time;
  const Mat3 enu_R_ecef = stillpoint::enu_R_ecef(to_geodetic(*at));
  for (const auto& [sat, signals] : seen_) {
    if (const auto found = place(sat, epoch.time, orbits, *at, enu_R_ecef)) {
      tracks_[sat].push_back(
          {epoch.time, found->azimuth_rad, found->elevation_rad});
    }
  }
  for (auto it = tracks_.begin(); it != tracks_.end();) {
    std::deque<SkyPoint>& points = it->second;
    while (!points.empty() && (epoch.time - points.front().at).s > kWindowS) {
      points.pop_front();
    }
    it = points.empty() ? tracks_.erase(it) : std::next(it);
  }
}

SkySnapshot SkyWatch::snapshot(const OrbitSource& orbits,
                               const std::optional<Ecef>& at) const {
  SkySnapshot snapshot;
  snapshot.at = last_;
  if (!last_) {
    return snapshot;
  }
  std::map<SatId, SkySatellite> all;
  for (const auto& [sat, signals] : seen_) {
    all[sat] = {sat, std::nullopt, true, signals};
  }
  if (at) {
    const Mat3 enu_R_ecef = stillpoint::enu_R_ecef(to_geodetic(*at));
    for (const System system : kPlaced) {
      for (std::uint8_t number = 1; number <= kMostNumber; ++number) {
        const SatId sat{system, number};
        const auto found = place(sat, *last_, orbits, *at, enu_R_ecef);
        const auto seen = all.find(sat);
        if (found && (seen != all.end() || found->elevation_rad > 0)) {
          SkySatellite& row = all[sat];
          row.sat = sat;
          row.place = found;
        }
      }
    }
  }
  snapshot.satellites.reserve(all.size());
  for (auto& [sat, row] : all) {
    snapshot.satellites.push_back(std::move(row));
  }
  snapshot.tracks.reserve(tracks_.size());
  for (const auto& [sat, points] : tracks_) {
    snapshot.tracks.push_back({sat, {points.begin(), points.end()}});
  }
  return snapshot;
}

}  // namespace stillpoint::quality

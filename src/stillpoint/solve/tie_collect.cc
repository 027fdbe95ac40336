#include "stillpoint/solve/tie_collect.h"

#include <algorithm>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/tie_signals.h"

namespace stillpoint::solve {
namespace {

// Loss-of-lock bits of an observation: half a cycle is open.
constexpr std::uint8_t kHalfCycleOpen = 2;

float weaker(double a, double b) {
  if (!is_present(a) || !is_present(b)) {
    return static_cast<float>(is_present(a) ? a : b);
  }
  return static_cast<float>(std::min(a, b));
}

std::uint16_t group_index(std::vector<TieGroup>& groups, const TieGroup& g) {
  const auto found = std::find(groups.begin(), groups.end(), g);
  if (found != groups.end()) {
    return static_cast<std::uint16_t>(found - groups.begin());
  }
  groups.push_back(g);
  return static_cast<std::uint16_t>(groups.size() - 1);
}

const SatRows* find_satellite(const Epoch& epoch, SatId sat) {
  for (const SatRows& rows : epoch.satellites) {
    if (rows.sat == sat) {
      return &rows;
    }
  }
  return nullptr;
}

std::optional<int> channel_of(SatId sat,
                              const OrbitSource& orbits,
                              const TieOptions& options) {
  if (sat.system != System::kGlonass) {
    return std::nullopt;
  }
  const auto stated = options.glonass_channel.at(sat.number);
  return stated ? stated : orbits.glonass_channel(sat);
}

}  // namespace

void collect_tie(const Epoch& here,
                 const Epoch& there,
                 const OrbitSource& orbits,
                 const TieOptions& options,
                 TieSession& session,
                 Counts& counts) {
  ++counts.epochs_seen;
  TieEpoch epoch{here.time,
                 there.time - here.time,
                 static_cast<std::uint32_t>(session.sights.size()),
                 0};
  std::vector<TieBandPair> pairs;
  for (const SatRows& satellite : here.satellites) {
    const SatId sat = satellite.sat;
    const auto exclude = [&](Exclusion reason) {
      ++counts.excluded[sat][static_cast<std::size_t>(reason)];
    };
    if (!options.systems.has(sat.system) || tie_bands(sat.system).empty()) {
      exclude(Exclusion::kSystemOff);
      continue;
    }
    const SatRows* other = find_satellite(there, sat);
    if (other == nullptr) {
      continue;  // the other end did not see it
    }
    match_bands(sat.system, here.rows(satellite), there.rows(*other), pairs);
    TieSight sight;
    sight.sat = sat;
    sight.first = static_cast<std::uint32_t>(session.rows.size());
    const auto channel = channel_of(sat, orbits, options);
    bool any_code = false;
    for (const TieBandPair& pair : pairs) {
      const auto hz =
          frequency_hz(sat.system, pair.phase_here->signal.band, channel);
      if (!hz) {
        continue;
      }
      TieRow row;
      row.wavelength_m = kSpeedOfLightMps / *hz;
      row.lli = static_cast<std::uint8_t>(pair.phase_here->lli |
                                          pair.phase_there->lli);
      if ((row.lli & kHalfCycleOpen) != 0) {
        continue;
      }
      row.group = group_index(
          session.groups,
          {sat.system, pair.phase_here->signal, pair.phase_there->signal});
      row.cn0_dbhz =
          weaker(pair.phase_here->cn0_dbhz, pair.phase_there->cn0_dbhz);
      row.phase_here_m = pair.phase_here->phase_cyc * row.wavelength_m;
      row.phase_there_m = pair.phase_there->phase_cyc * row.wavelength_m;
      if (pair.code_here != nullptr && pair.code_there != nullptr) {
        row.code_here_m = pair.code_here->code_m;
        row.code_there_m = pair.code_there->code_m;
        any_code = true;
      }
      session.rows.push_back(row);
      ++sight.count;
    }
    // Without any code nothing says when the signal was sent.
    if (!any_code) {
      session.rows.resize(sight.first);
      exclude(Exclusion::kNoSignalPair);
      continue;
    }
    session.sights.push_back(sight);
    ++epoch.count;
  }
  session.epochs.push_back(epoch);
}

double usual_interval_s(const TieSession& session) {
  std::vector<double> steps;
  for (std::size_t k = 1; k < session.epochs.size(); ++k) {
    steps.push_back((session.epochs[k].time - session.epochs[k - 1].time).s);
  }
  return steps.empty() ? 30 : math::median_in_place(steps);
}

void thin(TieSession& session) {
  TieSession kept;
  kept.groups = std::move(session.groups);
  for (std::size_t k = 0; k < session.epochs.size(); k += 2) {
    TieEpoch epoch = session.epochs[k];
    const auto sights = session.sights_of(epoch);
    epoch.first = static_cast<std::uint32_t>(kept.sights.size());
    for (const TieSight& s : sights) {
      const auto rows = session.rows_of(s);
      kept.sights.push_back(s);
      kept.sights.back().first = static_cast<std::uint32_t>(kept.rows.size());
      kept.rows.insert(kept.rows.end(), rows.begin(), rows.end());
    }
    kept.epochs.push_back(epoch);
  }
  session = std::move(kept);
}

}  // namespace stillpoint::solve

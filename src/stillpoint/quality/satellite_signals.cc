// SignalStatistics: the rows of one satellite in one epoch.
#include <array>

#include "stillpoint/quality/signal_statistics_parts.h"

namespace stillpoint::quality {
namespace {

constexpr std::uint8_t kLockLost = 1, kHalfCycle = 2;  // Observation::lli
constexpr std::uint8_t kNumbers = 100;  // of a system's satellites

}  // namespace

void SignalStatistics::take(SatId sat,
                            std::span<const Observation> rows,
                            GnssTime t,
                            const OrbitSource& orbits) {
  if (sat.number == 0 || sat.number >= kNumbers) {
    return;
  }
  auto& satellite = satellites_[sat];
  if (!satellite) {
    satellite = std::make_unique<Satellite>();
  }
  if (satellite->last == t) {
    return;  // twice in one epoch
  }
  satellite->last = t;
  measure(*satellite, sat, rows, orbits);
  follow_phases(*satellite, t);
  add_codes(*satellite, sat.system, t);
}

// The rows of an epoch as metres, in ascending order, with what is kept of
// each signal.
void SignalStatistics::measure(Satellite& satellite,
                               SatId sat,
                               std::span<const Observation> rows,
                               const OrbitSource& orbits) {
  measured_.clear();
  auto channel = orbits.glonass_channel(sat);
  if (const auto known = options_.glonass_channels.find(sat);
      known != options_.glonass_channels.end()) {
    channel = known->second;
  }
  for (const Observation& row : rows) {
    if (!is_known_signal(sat.system, row.signal)) {
      continue;
    }
    Measured& m = measured_.emplace_back();
    m.signal = row.signal;
    m.place = elevation_place(expected_.elevation_rad(sat));
    m.expected = expected_.is_expected(sat);
    m.lli = row.lli;
    m.cn0_dbhz = row.cn0_dbhz;
    m.code_m = row.code_m;
    m.has_phase = std::isfinite(row.phase_cyc);
    m.frequency_hz =
        frequency_hz(sat.system, row.signal.band, channel).value_or(0);
    if (m.has_phase && m.frequency_hz > 0) {
      m.phase_m = row.phase_cyc * (kSpeedOfLightMps / m.frequency_hz);
    }
  }
  const auto by_signal = [](const Measured& a, const Measured& b) {
    return a.signal < b.signal;
  };
  std::stable_sort(measured_.begin(), measured_.end(), by_signal);
  measured_.erase(std::unique(measured_.begin(),
                              measured_.end(),
                              [](const Measured& a, const Measured& b) {
                                return a.signal == b.signal;
                              }),
                  measured_.end());
  for (const Measured& m : measured_) {
    satellite.track_of(m.signal);  // makes it: pointers are taken after that
  }
  for (Measured& m : measured_) {
    m.track = &satellite.track_of(m.signal);
    m.totals = &totals_of({sat.system, m.signal});
    const auto carrier = std::find_if(
        measured_.begin(), measured_.end(), [&](const Measured& other) {
          return other.has_phase && other.signal.band == m.signal.band;
        });
    m.carrier = m.has_phase                  ? &m
                : carrier != measured_.end() ? &*carrier
                                             : nullptr;
  }
}

void SignalStatistics::follow_phases(Satellite& satellite, GnssTime t) {
  std::array<PhaseSample, SlipCounter::kMostSignals> samples;
  std::array<Measured*, SlipCounter::kMostSignals> owners{};
  std::size_t count = 0;
  for (Measured& m : measured_) {
    if (std::isfinite(m.phase_m) && count < samples.size()) {
      samples.at(count) = {.signal = m.signal,
                           .frequency_hz = m.frequency_hz,
                           .phase_m = m.phase_m,
                           .code_m = m.code_m,
                           .lost = (m.lli & kLockLost) != 0};
      owners.at(count++) = &m;
    }
  }
  const auto verdicts =
      satellite.slips.add(t, longest_gap_s(), std::span(samples).first(count));
  for (std::size_t i = 0; i < count; ++i) {
    owners.at(i)->verdict = verdicts[i];
  }
  for (Measured& m : measured_) {
    if (!m.has_phase) {
      continue;
    }
    SlipFigures& slips = m.totals->slips;
    const bool flag = (m.lli & kLockLost) != 0;
    ++slips.phases;
    slips.checked += m.verdict.checked ? 1 : 0;
    slips.slips += m.verdict.slip ? 1 : 0;
    slips.flagged += m.verdict.slip && flag ? 1 : 0;
    slips.flags += flag ? 1 : 0;
    slips.half_cycles += (m.lli & kHalfCycle) != 0 ? 1 : 0;
    m.track->continuity += m.verdict.broken() ? 1U : 0U;
  }
}

void SignalStatistics::add_codes(Satellite& satellite,
                                 System system,
                                 GnssTime t) {
  char band = 0;
  bool two_bands = false;
  for (const Measured& m : measured_) {
    m.totals->strength.add(m.place, m.cn0_dbhz);
    if (m.has_both()) {
      m.track->received += m.expected ? 1 : 0;
      two_bands |= band != 0 && band != m.signal.band;
      band = m.signal.band;
    }
    Track& track = *m.track;
    if (!m.is_usable()) {
      track.noise.forget();
      continue;
    }
    const Track& carrier = *m.carrier->track;
    if (track.carrier != carrier.signal ||
        track.carrier_continuity != carrier.continuity) {
      track.noise.forget();
      track.multipath.close(m.totals->multipath);
      track.carrier = carrier.signal;
      track.carrier_continuity = carrier.continuity;
    }
    track.noise.add(t, m.place, m.code_m - m.carrier->phase_m, m.totals->noise);
    add_multipath(satellite, system, t, m);
  }
  const bool expected = !measured_.empty() && measured_.front().expected;
  satellite.received += expected && band != 0 ? 1 : 0;
  satellite.received_two_bands += expected && two_bands ? 1 : 0;
}

void SignalStatistics::add_multipath(Satellite& satellite,
                                     System system,
                                     GnssTime t,
                                     const Measured& own) {
  Track& track = *own.track;
  if (!track.multipath.empty()) {
    const Track& partner = satellite.track_of(track.partner);
    if ((t - track.multipath.last()).s > longest_gap_s() ||
        partner.continuity != track.partner_continuity) {
      track.multipath.close(own.totals->multipath);
    }
  }
  const Measured* partner = nullptr;
  if (!track.multipath.empty()) {
    const auto same = std::find_if(
        measured_.begin(), measured_.end(), [&](const Measured& m) {
          return m.signal == track.partner;
        });
    partner = same == measured_.end() ? nullptr : &*same;
  } else {
    // The strongest phase of the best band that is there.
    for (const char band : partner_bands(system, own.signal.band)) {
      for (const Measured& m : measured_) {
        if (m.signal.band == band && std::isfinite(m.phase_m) &&
            (partner == nullptr || m.cn0_dbhz > partner->cn0_dbhz)) {
          partner = &m;
        }
      }
      if (partner != nullptr) {
        break;
      }
    }
  }
  if (partner == nullptr || !std::isfinite(partner->phase_m) ||
      partner->verdict.doubtful) {
    return;
  }
  if (track.multipath.empty()) {
    track.partner = partner->signal;
    track.partner_continuity = partner->track->continuity;
  }
  track.multipath.add(t,
                      own.place,
                      multipath_m(own.code_m,
                                  own.carrier->phase_m,
                                  own.frequency_hz,
                                  partner->phase_m,
                                  partner->frequency_hz));
}

}  // namespace stillpoint::quality

#include "stillpoint/intake/export/survey_pass.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "stillpoint/core/bits.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/legacy_map.h"
#include "stillpoint/rtcm/msm_signals.h"

namespace stillpoint::intake {
namespace {

constexpr int kGlonassMsm5 = 1085, kGlonassMsm7 = 1087;
// Before the mask of satellites: type, station, epoch, flags.
constexpr std::size_t kBitsBeforeMask = 73;
constexpr unsigned kChannelTop = 13;  // 14 and 15: not known
constexpr int kChannelOffset = 7;
// Channels that are known are looked at again once in so many messages.
constexpr std::uint64_t kLookAgain = 600;

}  // namespace

void SurveyPass::take(const Period& period,
                      const RecordedEpoch& recorded,
                      bool legacy) {
  if (!newest_ || period > *newest_) {
    if (newest_) {
      found_.periods[*newest_].station = found_.station;
    }
    newest_ = period;
  }
  PeriodFacts& facts = found_.periods[period];
  (legacy ? facts.legacy : facts.msm).add(recorded);
}

SurveyFindings SurveyPass::findings() {
  if (newest_) {
    found_.periods[*newest_].station = found_.station;
  }
  // What was said after a period only.
  const StationFacts* later = &found_.station;
  for (auto p = found_.periods.rbegin(); p != found_.periods.rend(); ++p) {
    p->second.station.fill_from(*later);
    later = &p->second.station;
  }
  return std::move(found_);
}

void SurveyPass::on_rtcm(std::optional<int> type, ByteSpan frame) {
  if (type == kGlonassMsm5 || type == kGlonassMsm7) {
    read_msm_channels(rtcm::payload_of(frame));
  } else if (type && *type >= 1009 && *type <= 1012) {
    read_legacy_channels(rtcm::payload_of(frame));
  }
}

void SurveyPass::read_msm_channels(ByteSpan payload) {
  BitReader bits(payload);
  bits.skip(kBitsBeforeMask);
  std::uint64_t mask = bits.u(64);
  bool news = ++no_news_ % kLookAgain == 0;
  for (unsigned position = 1; position <= 64 && !news; ++position) {
    const bool there = (mask >> (64 - position) & 1U) != 0;
    news = there && !found_.glonass_channels.contains(
                        rtcm::msm_satellite(System::kGlonass, position));
  }
  if (!news || !rtcm::decode_msm(payload, msm_)) {
    return;
  }
  unsigned slot = 0;
  for (unsigned position = 1; position <= 64; ++position) {
    if ((msm_.satellite_mask >> (64 - position) & 1U) == 0) {
      continue;
    }
    const unsigned extended = msm_.satellites[slot++].extended;
    if (extended <= kChannelTop) {
      found_.glonass_channels[rtcm::msm_satellite(System::kGlonass, position)] =
          static_cast<int>(extended) - kChannelOffset;
    }
  }
}

void SurveyPass::read_legacy_channels(ByteSpan payload) {
  if (!rtcm::decode_fields(payload, legacy_)) {
    return;
  }
  std::vector<rtcm::LegacyRow> rows;
  rtcm::to_rows(legacy_, rows);
  for (const rtcm::LegacyRow& row : rows) {
    if (row.glonass_channel) {
      found_.glonass_channels[row.sat] = *row.glonass_channel;
    }
  }
}

void SurveyPass::on_ephemeris(const StateEphemeris& e, bool /*week_known*/) {
  if (e.sat.system == System::kGlonass) {
    found_.glonass_channels[e.sat] = e.channel;
  }
}

void SurveyPass::on_position(const rtcm::StationPosition& position,
                             int /*type*/) {
  if (found_.station.arp_m) {
    found_.position_moved_m = std::max(
        found_.position_moved_m, norm(position.arp_m - *found_.station.arp_m));
  }
  found_.station.take(position);
}

void SurveyPass::on_antenna(const rtcm::AntennaDescription& antenna,
                            int /*type*/) {
  const StationFacts before = found_.station;
  found_.station.take(antenna);
  found_.names_changed =
      found_.names_changed ||
      (before.antenna && before.antenna != found_.station.antenna) ||
      (before.receiver && before.receiver != found_.station.receiver);
}

void SurveyPass::on_glonass_biases(const rtcm::GlonassBiases& biases) {
  found_.station.biases = biases;
}

void SurveyPass::on_system_parameters(const rtcm::SystemParameters& p) {
  if (p.leap_seconds) {
    found_.station.leap_seconds = p.leap_seconds;
  }
}

}  // namespace stillpoint::intake

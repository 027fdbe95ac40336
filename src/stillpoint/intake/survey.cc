#include "stillpoint/intake/survey.h"

#include <cmath>

#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/safe_text.h"

namespace stillpoint::intake {
namespace {

constexpr std::size_t kMostSteps = 1000;  // different intervals that are kept
constexpr std::size_t kMostTypes = 4096;  // RTCM cannot number more
constexpr std::size_t kMostSentences = 256;

// Of two names the one that says something.
void name(std::optional<std::string>& into, const std::string& bytes) {
  if (!bytes.empty() || !into) {
    into = rtcm::safe_text(bytes);
  }
}

bool has_whole_ranges(int type) {
  const auto msm = rtcm::msm_type(type);
  return msm ? rtcm::msm_has_whole_ms(msm->level)
             : type == 1002 || type == 1004 || type == 1010 || type == 1012;
}

}  // namespace

void Survey::Epochs::add(GnssTime time) {
  if (count == 0) {
    first = time;
  } else if (time == last) {
    return;
  } else {
    const auto step = std::llround((time - last).s * 1000);
    if (steps_ms.size() < kMostSteps || steps_ms.contains(step)) {
      ++steps_ms[step];
    }
  }
  ++count;
  last = time;
}

void Survey::Epochs::move(int weeks) {
  const auto later = [weeks](GnssTime t) {
    return GnssTime::from_ns(t.ns() + weeks * GnssTime::kWeekNs);
  };
  first = later(first);
  last = later(last);
}

void Survey::on_rtcm(std::optional<int> type, ByteSpan frame) {
  if (tallies_.size() >= kMostTypes && !tallies_.contains(type)) {
    return;
  }
  Tally& tally = tallies_[type];
  ++tally.count;
  tally.bytes += frame.size();
  const ByteSpan payload = rtcm::payload_of(frame);
  if (const auto id = rtcm::peek_station_id(payload)) {
    station_ids_.insert(*id);
    station_.id = id;
  }
  const auto epoch = rtcm::peek_epoch(payload, near_);
  if (!epoch) {
    return;
  }
  near_ = *epoch;
  whole_ranges_ = whole_ranges_ || has_whole_ranges(*type);
  if (!tally.first) {
    tally.first = epoch;
  }
  tally.epochs += tally.last == epoch ? 0U : 1U;
  tally.last = epoch;
}

void Survey::on_nmea(const nmea::Sentence& sentence) {
  if (nmea_.size() < kMostSentences || nmea_.contains(sentence.type)) {
    ++nmea_[sentence.type];
  }
}

void Survey::on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) {
  (origin.legacy ? legacy_ : msm_).add(epoch.time);
  contradictions_.epoch(epoch, origin.legacy);
  for (const SatRows& rows : epoch.satellites) {
    observed_.set(static_cast<std::size_t>(rows.sat.index()));
    auto& signals = signals_[static_cast<std::size_t>(rows.sat.system)];
    for (const Observation& row : epoch.rows(rows)) {
      signals.insert(row.signal);
    }
  }
}

void Survey::on_position(const rtcm::StationPosition& position, int type) {
  contradictions_.position(position, type);
  station_.arp_m = position.arp_m;
  if (position.antenna_height_m) {
    station_.antenna_height_m = position.antenna_height_m;
  }
}

void Survey::on_antenna(const rtcm::AntennaDescription& antenna, int type) {
  contradictions_.antenna(antenna, type);
  antenna_named_ = antenna_named_ || !antenna.descriptor.empty();
  name(station_.antenna, antenna.descriptor);
  if (antenna.receiver_type) {
    name(station_.receiver, *antenna.receiver_type);
  }
}

void Survey::on_glonass_biases(const rtcm::GlonassBiases& /*biases*/) {
  biases_sent_ = true;
}

void Survey::on_system_parameters(const rtcm::SystemParameters& p) {
  contradictions_.system_parameters(p);
}

void Survey::on_week_moved(int weeks) {
  msm_.move(weeks);
  legacy_.move(weeks);
}

}  // namespace stillpoint::intake

#include "stillpoint/rtcm/decoder.h"

#include <vector>

#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/epoch_joiner.h"
#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/legacy_map.h"
#include "stillpoint/rtcm/msm_rows.h"
#include "stillpoint/rtcm/msm_signals.h"
#include "stillpoint/rtcm/phase_rollover.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/week_finder.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kLegacyLevel = 1;

LockRange lock_range(const LegacyRow& row) {
  LockRange range{static_cast<std::int64_t>(row.lock_min_s * 1000)};
  if (row.lock_below_s < 1e9) {
    range.below_ms = static_cast<std::int64_t>(row.lock_below_s * 1000);
  }
  return range;
}

constexpr int kTenBits = 1024;

// GPS week in which a set was sent, and whether the message says it whole.
struct SentWeek {
  std::optional<int> week;
  bool whole = false;
};
template <class Raw>
SentWeek sent_week(const Raw& raw, GnssTime era) {
  if constexpr (requires { full_week_hint(raw); }) {
    const auto week = full_week_hint(raw);
    return {week, week.has_value()};
  } else {
    return {resolve_week(raw.week, kTenBits, era.week()), false};
  }
}

}  // namespace

struct Decoder::State {
  State(const DecoderOptions& o, DecoderSink& s)
      : options(o),
        sink(s),
        week(o.day),
        msm([this](const Epoch& e, int id) { give(e, id, false); }),
        legacy([this](const Epoch& e, int id) { give(e, id, true); }) {}

  void give(const Epoch& epoch, int station_id, bool from_legacy) {
    sink.on_epoch(epoch, {station_id, from_legacy, week.known()});
  }

  Decoded observe(ByteSpan payload);
  Decoded observe_legacy_gps(ByteSpan payload);
  Decoded observe_legacy_glonass(ByteSpan payload);
  void join_phase(LegacyRow& row, GnssTime time);
  template <class Raw>
  Decoded legacy_rows(const Raw& raw, std::optional<GnssTime> time);
  template <class Raw>
  Decoded ephemeris(ByteSpan payload);
  template <class Raw, class Call>
  Decoded station(ByteSpan payload, Call call);
  Decoded dispatch(int type, ByteSpan payload);

  DecoderOptions options;
  DecoderSink& sink;
  WeekFinder week;
  EpochJoiner msm, legacy;
  LockMemory msm_locks, legacy_locks;
  PhaseRollover rollover;
  GlonassChannels channels;
  RawMsm raw_msm;
  RawLegacyGps raw_gps;
  RawLegacyGlonass raw_glonass;
  std::vector<LegacyRow> rows;
  std::optional<GnssTime> received;
};

Decoded Decoder::State::observe(ByteSpan payload) {
  if (!decode_msm(payload, raw_msm)) {
    return Decoded::kMalformed;
  }
  const auto time = msm_epoch_time(
      msm_type(raw_msm.type)->system, raw_msm.epoch, week.near());
  if (!time) {
    return Decoded::kMalformed;
  }
  EpochBuilder& epoch = msm.open(*time, raw_msm.station_id);
  week.epoch(*time);
  append_rows(raw_msm, epoch, msm_locks, channels);
  msm.close(raw_msm.multiple, received);
  return Decoded::kValues;
}

// Loss of lock, and the phase over its roll-overs.
void Decoder::State::join_phase(LegacyRow& row, GnssTime time) {
  Observation& o = row.observation;
  const auto position = msm_satellite_position(row.sat);
  const auto hz =
      frequency_hz(row.sat.system, o.signal.band, channels.of(row.sat));
  if (!position || !hz) {
    return;
  }
  // A message has one signal a band.
  const std::size_t band_slot = o.signal.band == '1' ? 0 : 1;
  const bool lost = legacy_locks.lost(row.sat.system,
                                      *position,
                                      static_cast<unsigned>(band_slot + 1),
                                      time,
                                      lock_range(row));
  if (lost) {
    o.lli |= 1;
  }
  if (is_present(o.code_m)) {
    o.phase_cyc = rollover.joined(row.sat,
                                  band_slot,
                                  o.phase_cyc,
                                  o.code_m * *hz / kSpeedOfLightMps,
                                  lost);
  }
}

template <class Raw>
Decoded Decoder::State::legacy_rows(const Raw& raw,
                                    std::optional<GnssTime> time) {
  if (!time) {
    return Decoded::kMalformed;
  }
  EpochBuilder& epoch = legacy.open(*time, raw.station_id);
  week.epoch(*time);
  rows.clear();
  to_rows(raw, rows);
  SatId sat;
  for (LegacyRow& row : rows) {
    if (row.sat != sat) {
      sat = row.sat;
      epoch.satellite(sat, kLegacyLevel);
    }
    if (row.glonass_channel) {
      channels.set(sat, *row.glonass_channel);
    }
    if (is_present(row.observation.phase_cyc)) {
      join_phase(row, *time);
    }
    epoch.row(row.observation);
  }
  legacy.close(raw.more_follows, received);
  return Decoded::kValues;
}

Decoded Decoder::State::observe_legacy_gps(ByteSpan payload) {
  if (!decode_fields(payload, raw_gps)) {
    return Decoded::kMalformed;
  }
  return legacy_rows(raw_gps, week_ms_time(raw_gps.tow_ms, week.near()));
}

Decoded Decoder::State::observe_legacy_glonass(ByteSpan payload) {
  if (!decode_fields(payload, raw_glonass)) {
    return Decoded::kMalformed;
  }
  return legacy_rows(raw_glonass,
                     glonass_day_ms_time(raw_glonass.day_ms, week.near()));
}

template <class Raw>
Decoded Decoder::State::ephemeris(ByteSpan payload) {
  Raw raw;
  if (!decode_fields(payload, raw)) {
    return Decoded::kMalformed;
  }
  const SentWeek sent = sent_week(raw, week.era(options.era));
  const auto value = to_ephemeris(raw, week.near_ephemeris(sent.week));
  if (!value) {
    return Decoded::kMalformed;
  }
  if constexpr (requires { value->channel; }) {
    channels.set(value->sat, value->channel);
  }
  const int weeks = sent.week ? week.ephemeris(*sent.week, sent.whole) : 0;
  if (weeks != 0) {
    msm.move(weeks);
    legacy.move(weeks);
    msm_locks.move(weeks);
    legacy_locks.move(weeks);
    sink.on_week_moved(weeks);
  }
  if constexpr (requires { value->channel; }) {
    sink.on_ephemeris(*value, week.known());
  } else {
    sink.on_ephemeris(*value);
  }
  return Decoded::kValues;
}

template <class Raw, class Call>
Decoded Decoder::State::station(ByteSpan payload, Call call) {
  Raw raw;
  if (!decode_fields(payload, raw)) {
    return Decoded::kMalformed;
  }
  call(raw);
  return Decoded::kValues;
}

Decoded Decoder::State::dispatch(int type, ByteSpan payload) {
  if (msm_type(type)) {
    return observe(payload);
  }
  switch (type) {
    case 1001:
    case 1002:
    case 1003:
    case 1004:
      return observe_legacy_gps(payload);
    case 1009:
    case 1010:
    case 1011:
    case 1012:
      return observe_legacy_glonass(payload);
    case 1019:
      return ephemeris<RawGpsEphemeris>(payload);
    case 1020:
      return ephemeris<RawGlonassEphemeris>(payload);
    case 1041:
      return ephemeris<RawNavicEphemeris>(payload);
    case 1042:
      return ephemeris<RawBeidouEphemeris>(payload);
    case 1044:
      return ephemeris<RawQzssEphemeris>(payload);
    case 1045:
    case 1046:
      return ephemeris<RawGalileoEphemeris>(payload);
    case 1005:
    case 1006:
      return station<RawStationPosition>(payload, [&](const auto& raw) {
        sink.on_position(to_station_position(raw), type);
      });
    case 1007:
    case 1008:
    case 1033:
      return station<RawAntenna>(payload, [&](const auto& raw) {
        sink.on_antenna(to_antenna_description(raw), type);
      });
    case 1013:
      return station<RawSystemParameters>(payload, [&](const auto& raw) {
        sink.on_system_parameters(to_system_parameters(raw));
      });
    case 1029:
      return station<RawText>(payload, [&](const auto& raw) {
        sink.on_text(to_text_message(raw));
      });
    case 1230:
      return station<RawGlonassBiases>(payload, [&](const auto& raw) {
        sink.on_glonass_biases(to_glonass_biases(raw));
      });
    default:
      return Decoded::kOpaque;
  }
}

bool is_decoded_type(int message_type) {
  switch (message_type) {
    case 1001:
    case 1002:
    case 1003:
    case 1004:
    case 1005:
    case 1006:
    case 1007:
    case 1008:
    case 1009:
    case 1010:
    case 1011:
    case 1012:
    case 1013:
    case 1019:
    case 1020:
    case 1029:
    case 1033:
    case 1041:
    case 1042:
    case 1044:
    case 1045:
    case 1046:
    case 1230:
      return true;
    default:
      return msm_type(message_type).has_value();
  }
}

Decoder::Decoder(const DecoderOptions& options, DecoderSink& sink)
    : state_(std::make_unique<State>(options, sink)) {}
Decoder::~Decoder() = default;

Decoded Decoder::push(ByteSpan payload, std::optional<GnssTime> received) {
  state_->received = received;
  if (received) {
    state_->week.received(*received);
  }
  const auto type = message_type(payload);
  return type ? state_->dispatch(*type, payload) : Decoded::kOpaque;
}

void Decoder::tick(GnssTime received) {
  state_->msm.tick(received, state_->options.epoch_timeout_s);
  state_->legacy.tick(received, state_->options.epoch_timeout_s);
}

void Decoder::finish() {
  state_->msm.finish();
  state_->legacy.finish();
}

bool Decoder::week_known() const {
  return state_->week.known();
}

}  // namespace stillpoint::rtcm

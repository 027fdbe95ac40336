#include "stillpoint/simulate/output/rtcm_stream.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/station.h"
#include "stillpoint/simulate/sky/broadcast_sets.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

// Sets that go out with an epoch besides those that are new: a sky of forty
// is repeated within twenty epochs.
constexpr int kSetsAnEpoch = 2;
constexpr int kMsmFirst = 1071, kMsmLast = 1137;

// 1077 stands for GPS whatever the level.
int any_level(int type) {
  return type >= kMsmFirst && type <= kMsmLast ? type / 10 * 10 + 7 : type;
}

template <class Raw>
std::vector<std::uint8_t> payload_of(const Result<Raw>& raw) {
  return raw ? rtcm::encode_fields(*raw) : std::vector<std::uint8_t>{};
}

// What a receiver knows by itself after a while: metres.
Ecef rough_arp(const ReceiverScenario& receiver) {
  const Ecef marker = to_ecef(receiver.marker);
  return from_enu({receiver.antenna_east_m + 0.8,
                   receiver.antenna_north_m - 1.1,
                   receiver.antenna_height_m + 1.9},
                  marker);
}

}  // namespace

RtcmStream::RtcmStream(const Sky& sky,
                       const ReceiverScenario& receiver,
                       RtcmStreamOptions options)
    : sky_(sky),
      receiver_(receiver),
      options_(std::move(options)),
      encoder_({.station_id = options_.station_id, .level = options_.level}) {
  for (const Satellite& s : sky.satellites()) {
    if (s.channel) {
      channels_.set(s.sat, *s.channel);
    }
  }
}

void RtcmStream::send(int type,
                      ByteSpan payload,
                      std::vector<std::uint8_t>& out) const {
  if (payload.empty() || !wants(any_level(type))) {
    return;
  }
  const std::vector<std::uint8_t> frame = rtcm::make_frame(payload);
  out.insert(out.end(), frame.begin(), frame.end());
}

Status RtcmStream::add(const Epoch& epoch, std::vector<std::uint8_t>& out) {
  add_station(epoch.time, out);
  const auto frames = encoder_.encode_frames(epoch, channels_);
  if (!frames) {
    return fail(frames.error());
  }
  for (const std::vector<std::uint8_t>& frame : *frames) {
    const auto type = rtcm::message_type(rtcm::payload_of(frame));
    if (type && wants(any_level(*type))) {
      out.insert(out.end(), frame.begin(), frame.end());
    }
  }
  add_ephemerides(epoch, out);
  return ok();
}

void RtcmStream::add_station(GnssTime t, std::vector<std::uint8_t>& out) {
  const auto number = static_cast<std::int64_t>(
      std::floor(sky_.seconds(t) / options_.station_every_s));
  if (number == station_sent_) {
    return;
  }
  station_sent_ = number;
  rtcm::StationPosition position;
  position.station_id = options_.station_id;
  position.arp_m = options_.arp_m ? *options_.arp_m : rough_arp(receiver_);
  position.antenna_height_m = receiver_.antenna_height_m;
  position.gps = position.glonass = position.galileo = true;
  position.single_oscillator = true;
  position.quarter_cycle = rtcm::QuarterCycle::kCorrected;
  send(1006, payload_of(rtcm::to_raw(position)), out);
  rtcm::AntennaDescription antenna;
  antenna.station_id = options_.station_id;
  antenna.descriptor = receiver_.antenna;
  antenna.serial = receiver_.antenna_serial;
  antenna.receiver_type = receiver_.receiver_type;
  antenna.firmware = receiver_.firmware;
  antenna.receiver_serial = receiver_.receiver_serial;
  send(1008, payload_of(rtcm::to_raw(antenna, 1008)), out);
  send(1033, payload_of(rtcm::to_raw(antenna, 1033)), out);
  rtcm::GlonassBiases biases;
  biases.station_id = options_.station_id;
  biases.aligned = true;
  biases.bias_m = {0, 0, 0, 0};
  send(1230, payload_of(rtcm::to_raw(biases)), out);
}

void RtcmStream::add_ephemerides(const Epoch& epoch,
                                 std::vector<std::uint8_t>& out) {
  int repeated = 0;
  // New sets first, then on from where the turn stands.
  std::vector<SatId> turn;
  for (const SatRows& rows : epoch.satellites) {
    const Satellite* s = sky_.find(rows.sat);
    const GnssTime toe = current_toe(*s, epoch.time);
    auto [known, is_new] = last_toe_.try_emplace(rows.sat, toe);
    if (is_new || known->second != toe) {
      known->second = toe;
      send_set(*s, toe, out);
    } else {
      turn.push_back(rows.sat);
    }
  }
  std::ranges::sort(turn);
  auto next = std::ranges::upper_bound(turn, last_sent_);
  while (!turn.empty() && repeated < kSetsAnEpoch &&
         repeated < static_cast<int>(turn.size())) {
    if (next == turn.end()) {
      next = turn.begin();
    }
    last_sent_ = *next++;
    send_set(*sky_.find(last_sent_), last_toe_.at(last_sent_), out);
    ++repeated;
  }
}

void RtcmStream::send_set(const Satellite& satellite,
                          GnssTime toe,
                          std::vector<std::uint8_t>& out) {
  NavigationData data;
  make_sets(sky_, satellite, toe, data);
  for (const KeplerEphemeris& e : data.kepler) {
    switch (e.sat.system) {
      case System::kGps:
        send(1019, payload_of(rtcm::to_raw_gps(e)), out);
        break;
      case System::kQzss:
        send(1044, payload_of(rtcm::to_raw_qzss(e)), out);
        break;
      case System::kBeidou:
        send(1042, payload_of(rtcm::to_raw_beidou(e)), out);
        break;
      case System::kGalileo:
        if (e.message == NavMessage::kFnav) {
          send(1045, payload_of(rtcm::to_raw_galileo_fnav(e)), out);
        } else {
          send(1046, payload_of(rtcm::to_raw_galileo_inav(e)), out);
        }
        break;
      default:
        break;
    }
  }
  for (const StateEphemeris& e : data.state) {
    send(1020, payload_of(rtcm::to_raw_glonass(e)), out);
  }
}

}  // namespace stillpoint::simulate

// A small station's frames, and a composer that is fed with them.
#pragma once

#include <gtest/gtest.h>

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/compose/composer.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::compose {

using Bytes = std::vector<std::uint8_t>;
using Frames = std::vector<Bytes>;

inline const GnssTime kStart = GnssTime::from_gps_week(2340, 345'600);
inline const Ecef kPoint{4'278'000.0, 671'000.0, 4'665'000.0};
inline constexpr int kReceiverId = 5;

// MSM7 of one epoch, a frame a system, the more-follows bit in all but the
// last.
inline Frames epoch_frames(double t_s,
                           const std::vector<System>& systems,
                           int station_id = kReceiverId) {
  Epoch epoch;
  epoch.time = kStart + Duration{t_s};
  rtcm::GlonassChannels channels;
  for (const System system : systems) {
    for (std::uint8_t n = 1; n <= 3; ++n) {
      Observation o;
      o.signal = system == System::kBeidou ? SignalCode{'2', 'I'}
                                           : SignalCode{'1', 'C'};
      o.code_m = 2.2e7 + 1e5 * n;
      o.phase_cyc = o.code_m / 0.19;
      epoch.satellites.push_back(
          {{system, n},
           1,
           static_cast<std::uint32_t>(epoch.observations.size())});
      epoch.observations.push_back(o);
      if (system == System::kGlonass) {
        channels.set({system, n}, 1);
      }
    }
  }
  rtcm::MsmEncoder encoder({.station_id = station_id});
  auto frames = encoder.encode_frames(epoch, channels);
  EXPECT_TRUE(frames.has_value());
  return frames ? std::move(*frames) : Frames{};
}

template <class Message>
Bytes framed(const Message& message) {
  return rtcm::make_frame(rtcm::encode_fields(message));
}

inline Bytes receiver_position_frame(const Ecef& arp_m,
                                     std::optional<double> height_m = {}) {
  rtcm::StationPosition position;
  position.station_id = kReceiverId;
  position.arp_m = arp_m;
  position.antenna_height_m = height_m;
  position.single_oscillator = true;
  position.quarter_cycle = rtcm::QuarterCycle::kCorrected;
  return framed(rtcm::to_raw(position).value());
}

// A frame of a type that has no station id: an ephemeris that says nothing.
inline Bytes ephemeris_frame() {
  Bytes payload(61);
  payload[0] = 1019 / 16;
  payload[1] = 1019 % 16 * 16;
  return rtcm::make_frame(payload);
}

inline Frames frames_of(ByteSpan bytes) {
  Frames frames;
  while (bytes.size() >= rtcm::kFrameOverhead) {
    const std::size_t size =
        (bytes[1] & 3U) * std::size_t{256} + bytes[2] + rtcm::kFrameOverhead;
    if (size > bytes.size() || !rtcm::is_good_frame(bytes.first(size))) {
      break;
    }
    frames.emplace_back(bytes.begin(),
                        bytes.begin() + static_cast<std::ptrdiff_t>(size));
    bytes = bytes.subspan(size);
  }
  EXPECT_TRUE(bytes.empty()) << "not whole, good frames";
  return frames;
}

inline std::vector<int> types_of(ByteSpan bytes) {
  std::vector<int> types;
  for (const Bytes& frame : frames_of(bytes)) {
    types.push_back(rtcm::message_type(rtcm::payload_of(frame)).value_or(0));
  }
  return types;
}

template <class Message>
Message decoded(const Bytes& frame) {
  Message message;
  EXPECT_TRUE(rtcm::decode_fields(rtcm::payload_of(frame), message));
  return message;
}

// Feeds frames at a time and gives what left.
inline Bytes fed(Composer& composer,
                 const Frames& frames,
                 double t_s,
                 std::optional<GnssTime> now = kStart) {
  Bytes out;
  for (const Bytes& frame : frames) {
    composer.on_frame(frame, t_s, now, out);
  }
  return out;
}

inline Bytes joined(const Frames& frames) {
  Bytes all;
  for (const Bytes& frame : frames) {
    all.insert(all.end(), frame.begin(), frame.end());
  }
  return all;
}

// The raw position messages in what left.
inline std::vector<rtcm::RawStationPosition> positions_in(ByteSpan bytes) {
  std::vector<rtcm::RawStationPosition> found;
  for (const Bytes& frame : frames_of(bytes)) {
    const int type = rtcm::message_type(rtcm::payload_of(frame)).value_or(0);
    if (type == 1005 || type == 1006) {
      found.push_back(decoded<rtcm::RawStationPosition>(frame));
    }
  }
  return found;
}

}  // namespace stillpoint::compose

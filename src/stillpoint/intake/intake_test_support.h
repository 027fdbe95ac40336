// A small station's stream, made up for the tests of this module.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::intake {

inline const GnssTime kStart = GnssTime::from_gps_week(2340, 345'600);
inline const Ecef kPoint{4'278'000.0, 671'000.0, 4'665'000.0};

using Bytes = std::vector<std::uint8_t>;

inline void append(Bytes& to, const Bytes& more) {
  to.insert(to.end(), more.begin(), more.end());
}

inline Observation row(const char* signal, double code_m) {
  Observation o;
  o.signal = {signal[0], signal[1]};
  o.code_m = code_m;
  o.phase_cyc = code_m / 0.19;
  return o;
}

using Rows = std::vector<std::pair<SatId, std::vector<Observation>>>;

// MSM7 frames of one epoch.
inline Bytes epoch_frames(double t_s, const Rows& rows, int station_id = 5) {
  Epoch epoch;
  epoch.time = kStart + Duration{t_s};
  for (const auto& [sat, observations] : rows) {
    epoch.satellites.push_back(
        {sat,
         static_cast<std::uint16_t>(observations.size()),
         static_cast<std::uint32_t>(epoch.observations.size())});
    epoch.observations.insert(
        epoch.observations.end(), observations.begin(), observations.end());
  }
  rtcm::GlonassChannels channels;
  channels.set({System::kGlonass, 3}, 5);
  rtcm::MsmEncoder encoder({.station_id = station_id});
  Bytes bytes;
  const auto frames = encoder.encode_frames(epoch, channels);
  for (const auto& frame : *frames) {
    append(bytes, frame);
  }
  return bytes;
}

inline Bytes position_frame(const Ecef& arp_m,
                            std::optional<double> height_m = {}) {
  rtcm::StationPosition position;
  position.station_id = 5;
  position.arp_m = arp_m;
  position.antenna_height_m = height_m;
  return rtcm::make_frame(rtcm::encode_fields(*to_raw(position)));
}

inline Bytes antenna_frame(const std::string& name, int type = 1033) {
  rtcm::AntennaDescription antenna;
  antenna.station_id = 5;
  antenna.descriptor = name;
  antenna.receiver_type = "SPDEMO-R1";
  return rtcm::make_frame(rtcm::encode_fields(*to_raw(antenna, type)));
}

inline Bytes biases_frame() {
  rtcm::GlonassBiases biases;
  biases.station_id = 5;
  biases.bias_m = {0.0, 0.0, 0.0, 0.0};
  return rtcm::make_frame(rtcm::encode_fields(*to_raw(biases)));
}

inline Bytes text(const std::string& line) {
  return {line.begin(), line.end()};
}

inline const Rows kTwoSystems{
    {{System::kGps, 7}, {row("1C", 2.1e7), row("2W", 2.1e7)}},
    {{System::kGlonass, 3}, {row("1C", 2.0e7), row("2C", 2.0e7)}}};

}  // namespace stillpoint::intake

// What a simulated receiver sends as RTCM 3: observations at every epoch,
// ephemerides in turn, and now and then what the station is.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/simulate/receiver/receiver.h"

namespace stillpoint::simulate {

struct RtcmStreamOptions {
  int station_id = 1;
  int level = 7;  // of MSM, 4 or 7
  // Antenna reference point that 1006 says; nothing: a rough one, as a
  // receiver has that nobody told.
  std::optional<Ecef> arp_m = std::nullopt;
  double station_every_s = 10;  // 1006, 1008, 1033, 1230
  // Empty: all messages; else the numbers that are sent, MSM by any level's.
  std::set<int> only{};
};

class RtcmStream {
 public:
  // The sky and the description outlive it.
  RtcmStream(const Sky& sky,
             const ReceiverScenario& receiver,
             RtcmStreamOptions options);

  void set_position(const Ecef& arp_m) { options_.arp_m = arp_m; }
  void send_only(std::set<int> types) { options_.only = std::move(types); }

  // The frames of an epoch, appended in the order in which they are sent.
  //
  //   errors   of the encoder: an epoch at no whole millisecond
  Status add(const Epoch& epoch, std::vector<std::uint8_t>& out);

 private:
  void add_station(GnssTime t, std::vector<std::uint8_t>& out);
  void add_ephemerides(const Epoch& epoch, std::vector<std::uint8_t>& out);
  void send_set(const Satellite& satellite,
                GnssTime toe,
                std::vector<std::uint8_t>& out);
  void send(int type, ByteSpan payload, std::vector<std::uint8_t>& out) const;
  [[nodiscard]] bool wants(int type) const {
    return options_.only.empty() || options_.only.contains(type);
  }

  const Sky& sky_;
  const ReceiverScenario& receiver_;
  RtcmStreamOptions options_;
  rtcm::MsmEncoder encoder_;
  rtcm::GlonassChannels channels_;
  std::int64_t station_sent_ = -1;  // number of the interval
  std::map<SatId, GnssTime> last_toe_;
  SatId last_sent_;  // whose set went out last
};

}  // namespace stillpoint::simulate

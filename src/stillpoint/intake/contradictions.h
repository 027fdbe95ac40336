// Messages of one stream that do not agree with each other.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::intake {

class Contradictions {
 public:
  void position(const rtcm::StationPosition& position, int type);
  void antenna(const rtcm::AntennaDescription& antenna, int type);
  // MSM and the messages before it of one instant should hold the same ranges.
  void epoch(const Epoch& epoch, bool legacy);
  // Leap seconds of 1013 against the calendar.
  void system_parameters(const rtcm::SystemParameters& parameters);

  // One sentence each.
  [[nodiscard]] std::vector<std::string> found() const;

 private:
  // First code of each satellite of an epoch, ascending.
  struct Codes {
    std::optional<GnssTime> time;
    std::vector<std::pair<SatId, double>> m;
  };
  void compare(const Codes& a, const Codes& b);

  std::map<int, Ecef> points_;           // last, by message type
  double moved_m_ = 0;                   // most between two of one type
  double apart_m_ = 0;                   // most between two types
  std::map<int, std::string> antennas_;  // by message type
  Codes msm_, legacy_;
  double ranges_m_ = 0;
  SatId ranges_sat_;
  std::optional<std::pair<int, int>> leaps_;  // said, true
};

}  // namespace stillpoint::intake

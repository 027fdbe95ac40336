// What a stream says of its station, what the owner says, and which holds.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/intake/export/export_answer.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::intake {

// As the stream has it; nothing: not sent. Names are made safe and printable.
struct StationFacts {
  std::optional<Ecef> arp_m;
  std::optional<double> antenna_height_m;
  std::optional<std::string> antenna, antenna_serial;
  std::optional<std::string> receiver, receiver_serial, firmware;
  std::optional<rtcm::GlonassBiases> biases;
  std::optional<int> leap_seconds;
  rtcm::QuarterCycle quarter_cycle = rtcm::QuarterCycle::kNotStated;

  void take(const rtcm::StationPosition& position);
  void take(const rtcm::AntennaDescription& description);
  // What is not known here, from one that came later.
  void fill_from(const StationFacts& later);
};

// The owner's words; empty or nothing: not said.
struct OwnDescription {
  std::string marker_number, observer, agency;
  std::string receiver, receiver_serial, firmware;
  std::string antenna, antenna_serial;
  std::optional<double> height_m, east_m, north_m;
};

// A name and its radome in columns 1 to 16 and 17 to 20; all else as it is, cut
// to 20 columns.
//
//   source   RINEX 3.05, ANT # / TYPE; the columns of the radome: IGS naming
//            of antennas (rcvr_ant.tab), from memory
std::string antenna_columns(const std::string& name);

// Fills in who and what the station is; the owner's words hold. The position is
// that of the marker: the reference point that was sent, less the antenna's
// offset.
void describe_station(const OwnDescription& own,
                      const StationFacts& sent,
                      rinex::ObservationHeader& header);

// Where the stream says something else than the owner, and what nobody says.
std::vector<ExportWarning> compare_description(const OwnDescription& own,
                                               const StationFacts& sent);

}  // namespace stillpoint::intake

// What a station knows of its stream at one moment, as a value that other
// threads may read.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/intake/survey_report.h"
#include "stillpoint/quality/signal_watch.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

struct LiveMessage {
  std::optional<int> type;         // nothing: frames of length 0
  std::uint64_t count = 0;         // good CRC, decoded or not
  std::uint64_t bytes = 0;         // whole frames
  bool decoded = false;            // a type whose values we read
  std::optional<GnssTime> seen;    // when the last one came
  std::optional<double> rate_hz;   // over the last minute, by receive times
  std::optional<double> period_s;  // median
};

struct LiveSnapshot {
  std::uint64_t bytes = 0;
  std::vector<LiveMessage> messages;  // by type, those without one first
  std::uint64_t bad_crc = 0, malformed = 0, skipped_bytes = 0;
  std::vector<NmeaReport> nmea;
  std::uint64_t maker_packets = 0;

  StationReport station;
  std::optional<int> position_type;  // 1005 or 1006: what came last

  // For the line of a source table.
  std::string message_list;  // "1005(10),1077(1)"
  int carrier = 0;           // 0 no phases, 1 of one band, 2 of several
  std::string nav_system;    // "GPS+GLO+GAL"

  // Satellites with a set that can be used now, by system, whatever stream or
  // file it came from.
  std::array<int, kSystemCount> ephemerides{};
  // Bytes of the stream for ephemerides, and its damaged frames.
  std::uint64_t navigation_bytes = 0, navigation_bad_crc = 0;

  quality::SignalSnapshot quality;
  bool week_known = false;
};

}  // namespace stillpoint::intake

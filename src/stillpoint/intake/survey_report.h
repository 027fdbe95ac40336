// What a stream was found to hold, as values for documents and pages.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

struct MessageReport {
  std::optional<int> type;  // nothing: frames of length 0
  std::uint64_t count = 0;  // good CRC, decoded or not
  std::uint64_t bytes = 0;  // whole frames
  bool decoded = false;     // a type whose values we read
  // By epoch times where the message carries one, else by `seconds`.
  std::optional<double> rate_hz;
};

struct SystemReport {
  std::uint64_t satellites = 0;      // distinct, with an observation
  std::vector<std::string> signals;  // "1C", …, ascending
  std::uint64_t ephemerides = 0;     // distinct satellites
};

struct StationReport {
  std::optional<int> id;
  std::optional<Ecef> arp_m;
  std::optional<double> antenna_height_m;
  std::optional<std::string> antenna, receiver;  // safe for a terminal
};

struct NmeaReport {
  std::string type;  // "GGA"
  std::uint64_t count = 0;
};

struct EpochsReport {
  std::uint64_t count = 0;
  std::optional<double> interval_s;     // median
  std::optional<GnssTime> first, last;  // where the week is known
};

struct SurveyReport {
  // Receive time, or the span of the epochs of a file read at once.
  std::optional<double> seconds;
  std::uint64_t bytes = 0;
  std::vector<MessageReport> messages;  // by type, those without one first
  std::uint64_t bad_crc = 0, malformed = 0, skipped_bytes = 0;
  StationReport station;
  // Nothing for a system of which nothing came.
  std::array<std::optional<SystemReport>, kSystemCount> systems;
  EpochsReport epochs;
  std::vector<NmeaReport> nmea;
  std::uint64_t maker_packets = 0;
  // What a base still lacks, one sentence each, the gravest first.
  std::vector<std::string> lacks;

  [[nodiscard]] bool any_frame() const {
    return !messages.empty() || !nmea.empty() || maker_packets > 0;
  }
};

}  // namespace stillpoint::intake

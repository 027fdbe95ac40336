// What the station messages mean, and back: metres, seconds and names instead
// of the integers of raw_station.h.
//
//   source   RTCM 10403.3; scales: shared checks section 5
//   errors   of every to_raw: kOutOfRange with the value that does not fit
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/raw_station.h"

namespace stillpoint::rtcm {

// DF364: whether phases of one frequency that differ by quarter cycles were
// brought together. 3 is reserved; from memory.
enum class QuarterCycle : std::uint8_t {
  kNotStated = 0,
  kCorrected = 1,
  kNotCorrected = 2,
  kReserved = 3,
};

// Antenna reference point in the frame that the operator publishes (1005), and
// its height above the marker (1006). Coordinates within +-13 743 895 m, height
// 0 to 6.5535 m, both in steps of 0.1 mm.
struct StationPosition {
  int station_id = 0;
  Ecef arp_m;
  std::optional<double> antenna_height_m;
  int itrf_year = 0;  // two digits, 0: not stated
  bool gps = false, glonass = false, galileo = false;
  bool computed = false;           // not a physical station
  bool single_oscillator = false;  // all signals were measured at one instant
  QuarterCycle quarter_cycle = QuarterCycle::kNotStated;
};
StationPosition to_station_position(const RawStationPosition& raw);
// 1006 where the height is given, else 1005.
Result<RawStationPosition> to_raw(const StationPosition& position);

// Names of 1007, 1008 and 1033. The bytes are as they came, ISO 8859-1 and not
// safe for a terminal; at most 31 of them can be sent.
struct AntennaDescription {
  int station_id = 0;
  std::string descriptor;
  int setup_id = 0;                          // 0: standard, up to 255
  std::optional<std::string> serial;         // 1008, 1033
  std::optional<std::string> receiver_type;  // 1033, and the next two
  std::optional<std::string> firmware;
  std::optional<std::string> receiver_serial;
};
AntennaDescription to_antenna_description(const RawAntenna& raw);
// The message `type` of it. What the message has no field for is left out, and
// a field without a value is sent empty.
//
//   errors   also kUnsupported for a type other than 1007, 1008 and 1033
Result<RawAntenna> to_raw(const AntennaDescription& antenna, int type);

// 1013. UTC day and second; leap seconds are missing where the sender does not
// state them (255, from memory).
struct SystemParameters {
  struct Announcement {
    int message = 0;
    bool synchronous = false;
    double interval_s = 0;  // steps of 0.1 s up to 6553.5
  };
  int station_id = 0;
  int mjd = 0;
  int second_of_day = 0;
  std::optional<int> leap_seconds;          // GPST - UTC
  std::vector<Announcement> announcements;  // at most 31
};
SystemParameters to_system_parameters(const RawSystemParameters& raw);
Result<RawSystemParameters> to_raw(const SystemParameters& parameters);

// 1029: a line for people. At most 127 characters in 255 bytes of UTF-8.
struct TextMessage {
  int station_id = 0;
  int mjd = 0;            // UTC day
  int second_of_day = 0;  // UTC
  std::string bytes;      // as on the wire, whatever they are
  std::string text;       // the same made safe for a terminal: safe_text()
};
TextMessage to_text_message(const RawText& raw);
// Sends `bytes`.
//
//   errors   also kBadFormat where they are not UTF-8
Result<RawText> to_raw(const TextMessage& message);

// 1230: code-phase biases of 1C, 1P, 2C, 2P [m], steps of 0.02 m within
// +-655.34 m; missing where not sent or sent as unknown (-32768, from memory).
struct GlonassBiases {
  int station_id = 0;
  bool aligned = false;  // code and phase are of one instant already (DF421)
  std::array<std::optional<double>, 4> bias_m;
};
GlonassBiases to_glonass_biases(const RawGlonassBiases& raw);
Result<RawGlonassBiases> to_raw(const GlonassBiases& biases);

}  // namespace stillpoint::rtcm

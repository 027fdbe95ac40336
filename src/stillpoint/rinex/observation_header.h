// Header of a RINEX observation file, every version, as values.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rinex {

// What a column of a system's observation list holds.
enum class Kind : std::uint8_t { kCode, kPhase, kDoppler, kStrength, kOther };

// One column: its code as the file writes it ("C1C", in version 2 "P2") and
// what it is mapped to.
struct Column {
  std::string code;
  Kind kind = Kind::kOther;
  SignalCode signal;
  double scale = 1;  // SYS / SCALE FACTOR: file value = true value * scale
};

struct PhaseShift {
  System system = System::kGps;
  SignalCode signal;
  double cycles = 0;
  std::vector<SatId> satellites;  // empty: all of the system
};

struct ObservationHeader {
  double version = 0;                     // 2.10, 2.11, 3.04, 4.02, …
  char system = 'M';                      // letter of the version line
  std::string program, run_by, run_date;  // who made the file, and when
  std::string marker_name, marker_number, marker_type;
  std::string observer, agency;
  std::string receiver_serial, receiver_type, receiver_version;
  std::string antenna_serial, antenna_type;  // type with radome, 20 columns
  std::optional<Ecef> approx_position_m;
  // From the marker to the antenna reference point.
  Enu antenna_delta_enu_m;
  std::optional<double> interval_s;
  std::optional<GnssTime> first_obs, last_obs;
  TimeScale scale = TimeScale::kGps;  // of every epoch line
  bool clock_offset_applied = false;  // RCV CLOCK OFFS APPL
  std::array<std::vector<Column>, kSystemCount> columns;
  std::vector<PhaseShift> phase_shifts;
  std::map<SatId, int> glonass_channels;
  // GLONASS COD/PHS/BIS: code-phase bias [m] by signal.
  std::map<SignalCode, double> glonass_bias_m;
  std::optional<int> leap_seconds;
  std::vector<std::string> comments;
  bool was_compact = false;  // came through Hatanaka compression
};

}  // namespace stillpoint::rinex

// Linearised code observations of a session, small enough to keep a day in
// memory: each row is one satellite at one epoch.
//
//   residual = (range from code) - (range computed at the reference position)
//            = -unit . dx + clock(epoch, group) + noise
//
// unit points from the antenna to the satellite. A group is a system with the
// bands it is observed on: receivers delay each differently, so every group
// has a clock of its own at every epoch.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

struct CodeRow {
  float unit[3] = {0, 0, 0};  // ECEF
  float residual_m = 0;       // less the epoch's rough clock
  float noise_m = 0;          // one sigma of code noise and multipath, a priori
  float orbit_m = 0;          // one sigma of orbit and clock
  float zenith_factor = 0;    // slant per zenith troposphere
  float ionosphere_m = 0;     // modelled delay of a one-frequency row, else 0
  std::uint16_t sat_index = 0;  // SatId::index()
  std::uint8_t group = 0;       // see CodeSession::groups
  bool rejected = false;
};

struct CodeEpoch {
  GnssTime time;
  std::uint32_t first = 0;  // into rows
  std::uint16_t count = 0;
};

struct CodeGroup {
  System system = System::kGps;
  char first_band = 0, second_band = 0;  // 0: one frequency
};

struct CodeSession {
  Ecef reference;  // what the rows are linearised about (phase centre)
  std::vector<CodeGroup> groups;
  std::vector<CodeEpoch> epochs;
  std::vector<CodeRow> rows;

  [[nodiscard]] std::span<CodeRow> rows_of(const CodeEpoch& e) {
    return std::span(rows).subspan(e.first, e.count);
  }
  [[nodiscard]] std::span<const CodeRow> rows_of(const CodeEpoch& e) const {
    return std::span(rows).subspan(e.first, e.count);
  }
  [[nodiscard]] System system_of(const CodeRow& row) const {
    return groups[row.group].system;
  }
};

}  // namespace stillpoint::solve

// Epochs made up for the tests of this module.
#pragma once

#include <initializer_list>
#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint::quality {

// Ten seconds before a minute of GPST is over.
inline const GnssTime kStart = GnssTime::from_gps_week(2340, 345'650);

inline GnssTime at(double t_s) {
  return kStart + Duration{t_s};
}

struct Row {
  SatId sat;
  const char* signal;
  double cn0_dbhz;
  int lli = 0;
};

// Rows of one satellite stand together.
inline Epoch epoch_of(double t_s, std::initializer_list<Row> rows) {
  Epoch epoch;
  epoch.time = at(t_s);
  for (const Row& row : rows) {
    if (epoch.satellites.empty() || epoch.satellites.back().sat != row.sat) {
      epoch.satellites.push_back(
          {row.sat, 0, static_cast<std::uint32_t>(epoch.observations.size())});
    }
    ++epoch.satellites.back().count;
    Observation o;
    o.signal = {row.signal[0], row.signal[1]};
    o.phase_cyc = 1e8;
    o.cn0_dbhz = row.cn0_dbhz;
    o.lli = static_cast<std::uint8_t>(row.lli);
    epoch.observations.push_back(o);
  }
  return epoch;
}

inline constexpr SatId kG07{System::kGps, 7};
inline constexpr SatId kG08{System::kGps, 8};
inline constexpr SatId kE11{System::kGalileo, 11};

}  // namespace stillpoint::quality

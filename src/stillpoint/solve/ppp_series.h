// What a phase solution knows besides its coordinate, for pictures and tables.
#pragma once

#include <array>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

// The answer as it stood when the data reached `time`.
struct GrowthPoint {
  GnssTime time;
  Enu from_final_m;                     // answer then minus final answer
  std::array<double, 3> sigma_enu_m{};  // without the calibration term
};

struct ZenithPoint {
  GnssTime time;
  double zenith_delay_m = 0;  // hydrostatic and wet
  double sigma_m = 0;
  double gradient_east_m = 0, gradient_north_m = 0;
};

// One satellite at one epoch: observed minus computed.
struct ResidualPoint {
  GnssTime time;
  SatId sat;
  float phase_m = 0, code_m = 0;
  float azimuth_rad = 0, elevation_rad = 0;
  bool used = true;  // false: edited out
};

// Ascending in time; residuals of an epoch in the order of the observations.
struct PppSeries {
  std::vector<GrowthPoint> growth;  // every hour of data and the end
  std::vector<ZenithPoint> zenith;  // every 5 minutes
  std::vector<ResidualPoint> residuals;
};

}  // namespace stillpoint::solve

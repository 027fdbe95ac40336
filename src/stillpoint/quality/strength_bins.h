// C/N0 of one signal by elevation, in bounded memory: counts in steps of a
// quarter dB.
#pragma once

#include <cstdint>
#include <vector>

#include "stillpoint/quality/elevation_bins.h"

namespace stillpoint::quality {

struct StrengthFigures {
  std::uint64_t count = 0;
  // NaN where nothing came. The quantiles are good to 0.125 dB.
  double mean_dbhz = std::numeric_limits<double>::quiet_NaN();
  double p05_dbhz = std::numeric_limits<double>::quiet_NaN();
  double p95_dbhz = std::numeric_limits<double>::quiet_NaN();
};

class StrengthBins {
 public:
  // Values outside 0 .. 80 dB-Hz are left out.
  //
  //   place   elevation_place()
  void add(std::size_t place, double cn0_dbhz);
  [[nodiscard]] ByElevation<StrengthFigures> figures() const;

 private:
  struct Bin {
    double sum_dbhz = 0;
    std::uint64_t count = 0;
    std::vector<std::uint32_t> steps{};  // empty until something comes
  };
  ByElevation<Bin> bins_{};
};

}  // namespace stillpoint::quality

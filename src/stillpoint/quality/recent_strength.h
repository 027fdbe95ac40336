// Mean and minimum of a signal's C/N0 over the last minute, in little memory.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

class RecentStrength {
 public:
  void add(GnssTime t, double cn0_dbhz);

  struct Values {
    double mean_dbhz = 0, min_dbhz = 0;
  };
  // Of the 55 to 60 s up to `until` (kept in steps of five seconds); nothing
  // where there was no value.
  [[nodiscard]] std::optional<Values> up_to(GnssTime until) const;
  void move(int weeks);

 private:
  static constexpr std::int64_t kSteps = 12;  // of 5 s: a minute
  struct Step {
    std::int64_t number = std::numeric_limits<std::int64_t>::min();
    std::uint32_t count = 0;
    double sum_dbhz = 0, min_dbhz = 0;
  };
  static std::int64_t number_of(GnssTime t);

  std::array<Step, kSteps> steps_{};
};

}  // namespace stillpoint::quality

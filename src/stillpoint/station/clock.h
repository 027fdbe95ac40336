// The computer's clocks, read nowhere below this module.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::station {

// Now, as far as the computer knows it.
GnssTime wall_now();

// From any begin; never steps.
std::chrono::nanoseconds steady_now();

// For certificates and the caster's head lines [s since 1970].
std::int64_t unix_now_s();

// The instant of such a count.
GnssTime from_unix_s(std::int64_t seconds);

// What the parts of a station are handed.
//
//   threads  both may be called from any
struct Clocks {
  std::function<GnssTime()> wall = wall_now;
  std::function<std::chrono::nanoseconds()> steady = steady_now;
};

inline double seconds_of(std::chrono::nanoseconds span) {
  return std::chrono::duration<double>(span).count();
}

}  // namespace stillpoint::station

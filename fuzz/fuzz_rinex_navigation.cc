// Navigation files and what becomes of them. What must hold for any bytes:
// every set that comes out can be an orbit, every evaluation gives finite
// numbers, every problem names a place, and a file cut short never has more
// sets than the whole.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_reader.h"

namespace {

using stillpoint::BroadcastOrbits;
using stillpoint::Duration;
using stillpoint::SatelliteState;
using stillpoint::SignalCode;
using stillpoint::rinex::NavigationFile;

void check_state(const SatelliteState& s) {
  STILLPOINT_CHECK(std::isfinite(norm(s.position_m)));
  STILLPOINT_CHECK(std::isfinite(norm(s.velocity_mps)));
  STILLPOINT_CHECK(std::isfinite(s.clock_s));
  STILLPOINT_CHECK(s.range_sigma_m > 0);
}

template <class Ephemeris>
void check_set(const Ephemeris& e, const BroadcastOrbits& orbits) {
  STILLPOINT_CHECK(is_plausible(e));
  for (const double dt : {-7000.0, 0.0, 500.0}) {
    check_state(evaluate(e, e.toe + Duration{dt}));
  }
  STILLPOINT_CHECK(validity_s(e) > 0);
  if (const auto state = orbits.state(e.sat, e.toe)) {
    check_state(*state);
  } else {
    STILLPOINT_CHECK(state.error() == stillpoint::NoState::kUnhealthy);
  }
  for (const char band : {'1', '2', '5', '7'}) {
    const auto delay =
        orbits.group_delay_s(e.sat, e.toe, SignalCode{band, 'X'});
    STILLPOINT_CHECK(!delay || std::isfinite(*delay));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto read = [](std::string_view part) {
    return stillpoint::rinex::read_navigation(
        stillpoint::memory_stream(part, "fuzz.nav"));
  };
  const auto file = read(text);
  if (!file) {
    STILLPOINT_CHECK(file.error().where.starts_with("fuzz.nav:"));
    STILLPOINT_CHECK(!file.error().what.empty());
    return 0;
  }
  STILLPOINT_CHECK(file->problem_count >= file->problems.size());
  for (const auto& problem : file->problems) {
    STILLPOINT_CHECK(problem.where.starts_with("fuzz.nav:"));
  }
  BroadcastOrbits orbits;
  orbits.add(file->data);
  for (const auto& e : file->data.kepler) {
    check_set(e, orbits);
  }
  for (const auto& e : file->data.state) {
    check_set(e, orbits);
  }
  // A part of the file is read or refused like any other; it may hold a set
  // that damage further on would have spoilt.
  if (const auto half = read(text.substr(0, size / 2))) {
    BroadcastOrbits of_half;
    of_half.add(half->data);
    for (const auto& e : half->data.kepler) {
      check_set(e, of_half);
    }
    for (const auto& e : half->data.state) {
      check_set(e, of_half);
    }
  }
  return 0;
}

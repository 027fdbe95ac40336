// What each sequence of random numbers of a world is for. Every use has its
// own, so that a world with one error more, or one receiver more, is otherwise
// the same world.
#pragma once

#include <cstdint>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/simulate/nature/random.h"

namespace stillpoint::simulate {

// Part of every world's identity: never renumber.
enum class Stream : std::uint64_t {
  kConstellation = 1,
  kSatelliteClock = 2,
  kSatelliteBias = 3,
  kBroadcastOrbit = 4,
  kBroadcastClock = 5,
  kReceiverBias = 6,
  kReceiverClock = 7,
  kWetDelay = 8,
  kGradient = 9,
  kAmbiguity = 10,
  kSlip = 11,
  kNoise = 12,  // of code, phase, Doppler and C/N0
  kStrengthNoise = 15,
  kScintillation = 16,
  kSatelliteAntenna = 17,
  kPressure = 18,
  kMapping = 19,  // of the hydrostatic delay
  kProductOrbit = 20,
  kProductClock = 21,
  kReflector = 22,
  kWetField = 23,
  kWetHeight = 24,
};

inline RandomKey key_of(std::uint64_t seed, Stream stream) {
  return {seed, static_cast<std::uint64_t>(stream)};
}
inline RandomKey key_of(std::uint64_t seed, Stream stream, SatId sat) {
  return sub_key(key_of(seed, stream), static_cast<std::uint64_t>(sat.index()));
}

}  // namespace stillpoint::simulate

// The road from the first signal to rovers that are served: eight steps, the
// one in work and how long it will take.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>

#include "stillpoint/time/gnss_time.h"
#include "stillpoint/trust/trust.h"

namespace stillpoint::api {

struct RoadFacts {
  std::uint64_t bytes = 0;                 // received
  int satellites = 0;                      // tracked
  int ephemerides = 0;                     // usable
  bool has_position = false;               // by code ranges
  std::optional<double> position_sigma_m;  // of it, three-dimensional
  bool recording = false;                  // bytes are safe on the disk
  bool cannot_record = false;
  double recorded_hours = 0;           // of epochs, in a row up to now
  std::optional<double> best_sigma_m;  // of the best candidate
  bool adopted = false;
  trust::State state = trust::State::kBuilding;
  std::uint64_t rovers = 0;  // at present
  bool rovers_ever = false;
  bool products = false;  // precise ones can be had
  // When each step was done for the first time in this run.
  std::array<std::optional<GnssTime>, 8> done_at{};
};

enum class StepState : std::uint8_t { kDone, kWorking, kWaiting, kStopped };
const char* step_state_name(StepState state);

struct RoadStep {
  const char* step = "";  // "signal", …
  StepState state = StepState::kWaiting;
  std::optional<GnssTime> since;
  std::string what;  // one sentence
  std::optional<double> remaining_s;
};

// Steps in their order; one at most is kWorking: the first that is not done.
//
//   times    "an hour for a first coordinate, a day for millimetres": common
//            practice, no source
//   threads  pure
std::array<RoadStep, 8> road_of(const RoadFacts& facts);

}  // namespace stillpoint::api

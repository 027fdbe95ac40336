// What the phase solution keeps of a session: one row a satellite and epoch,
// with the observations as they were and, once the models have run, the
// difference to what they compute.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

// Why a row, or one half of it, does not take part.
enum PppFlag : std::uint8_t {
  kRowNoModel = 1,   // no orbit, clock or elevation for it
  kRowCodeOut = 2,   // its code was edited out
  kRowPhaseOut = 4,  // its phase was edited out
  kRowShortArc = 8,  // its arc is too short to be worth an ambiguity
  kRowSlip = 16,     // a new arc begins here
};

struct PppRow {
  SatId sat;
  std::uint8_t flags = 0;
  std::uint8_t lli = 0;  // of both phases
  SignalCode code_first, code_second, phase_first, phase_second;
  float cn0_dbhz = static_cast<float>(kMissing);  // the weaker one
  // As observed, both frequencies [m].
  double code_first_m = 0, code_second_m = 0;
  double phase_first_m = 0, phase_second_m = 0;
  // Ionosphere-free: weight_first * first + (1 - weight_first) * second.
  double weight_first = 1;
  double first_hz = 0, second_hz = 0;

  // From the models, about the reference position.
  Ecef to_satellite;  // unit vector from the antenna
  double code_m = 0;  // observed minus computed, ionosphere-free [m]
  double phase_m = 0;
  float azimuth_rad = 0, elevation_rad = 0;
  float wet_mapping = 1;
  // What one sigma of doubt about the hydrostatic mapping is worth here [m].
  float mapping_doubt_m = 0;
  // One sigma of what orbit and clock are worse here than usual [m]: near the
  // end of a file, between samples of a clock that wanders.
  float between_m = 0;
  std::uint32_t arc = 0;  // index of its ambiguity

  // From the adjustment: observed minus adjusted [m].
  float code_residual_m = 0, phase_residual_m = 0;

  [[nodiscard]] bool modelled() const { return (flags & kRowNoModel) == 0; }
  [[nodiscard]] bool code_used() const {
    return (flags & (kRowNoModel | kRowCodeOut)) == 0;
  }
  [[nodiscard]] bool phase_used() const {
    return (flags & (kRowNoModel | kRowPhaseOut | kRowShortArc)) == 0;
  }
  // First minus second phase: ionosphere and geometry-free [m].
  [[nodiscard]] double geometry_free_m() const {
    return phase_first_m - phase_second_m;
  }
  // Wide-lane phase minus narrow-lane code (Melbourne-Wuebbena), in cycles of
  // the wide lane.
  [[nodiscard]] double wide_lane_cyc() const {
    const double difference_hz = first_hz - second_hz;
    const double sum_hz = first_hz + second_hz;
    const double phase =
        (first_hz * phase_first_m - second_hz * phase_second_m) / difference_hz;
    const double code =
        (first_hz * code_first_m + second_hz * code_second_m) / sum_hz;
    return (phase - code) * difference_hz / kSpeedOfLightMps;
  }
  // Wavelength that one turn of the antenna changes the combination by [m].
  [[nodiscard]] double turn_m() const {
    return kSpeedOfLightMps *
           (weight_first / first_hz + (1 - weight_first) / second_hz);
  }
};

struct PppEpoch {
  GnssTime time;
  std::uint32_t first = 0, count = 0;  // of rows
};

// A run of one satellite's phases without a slip.
struct PppArc {
  SatId sat;
  GnssTime first, last;
  int rows = 0;
  double offset_m = 0;  // taken off its phases, so that numbers stay small
};

struct PppSession {
  std::vector<PppEpoch> epochs;
  std::vector<PppRow> rows;
  std::vector<PppArc> arcs;
  Ecef reference;  // of the marker [m]
  double interval_s = 30;

  [[nodiscard]] std::span<PppRow> rows_of(const PppEpoch& e) {
    return std::span(rows).subspan(e.first, e.count);
  }
  [[nodiscard]] std::span<const PppRow> rows_of(const PppEpoch& e) const {
    return std::span(rows).subspan(e.first, e.count);
  }
};

}  // namespace stillpoint::solve

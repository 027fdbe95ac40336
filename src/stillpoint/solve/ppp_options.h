// Settings and aids of the phase solution (`locate --method ppp`).
#pragma once

#include <optional>
#include <string>

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/aids/code_phase_biases.h"
#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/aids/loading_tides.h"
#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/solve/code_options.h"

namespace stillpoint::solve {

// Products beside orbits and clocks. A null pointer: not at hand; the answer
// names what that is worth. All must outlive the solver.
struct PppAids {
  const AntennaPatterns* patterns = nullptr;  // ANTEX: offset and variation
  const AntennaPatterns* offsets = nullptr;   // SINEX: offset alone
  const CodePhaseBiases* biases = nullptr;
  const PreciseClocks* clocks = nullptr;  // for their wide-lane biases
  const EarthOrientationSeries* earth = nullptr;
  const LoadingTides* loading = nullptr;  // of this station
  // What the products hold, for messages; nothing: not known.
  std::optional<GnssTime> orbits_first, orbits_last, clocks_first, clocks_last;
};

struct PppOptions : CodeOptions {
  PppAids aids;
  std::string antenna_type;  // 16 columns of type, 4 of radome
  std::string antenna_serial;
  bool integers = true;  // false: `--ambiguities float`
  // How often integers that are accepted may be wrong, were their covariance
  // true: 0.001 or more (math::IntegerPolicy).
  double failure_rate = 0.001;
};

}  // namespace stillpoint::solve

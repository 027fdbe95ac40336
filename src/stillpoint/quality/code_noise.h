// Noise of a code, from the third differences in time of code minus phase.
#pragma once

#include <array>

#include "stillpoint/quality/elevation_bins.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

// Mean square of the third differences, divided by 1 + 9 + 9 + 1: what one
// observation has of it, were all of them independent.
struct CodeNoiseSums {
  ByElevation<SquareSum> by_elevation{};  // [m], scaled to one observation

  [[nodiscard]] SquareSum total() const;
};

// Of one signal of one satellite.
//
// At 1 s the figure is the noise of the code loop (less, where the receiver
// smooths its code). At 30 s it is an upper bound: multipath that changes
// within two minutes is in it, the ionosphere with twice its third difference
// (millimetres on quiet days), and the noise of the phase (some millimetres).
class CodeNoise {
 public:
  // The next value; a gap, an uneven step or one above 60 s starts anew.
  //
  //   place              elevation_place()
  //   code_minus_phase_m with one ambiguity since forget()
  void add(GnssTime t,
           std::size_t place,
           double code_minus_phase_m,
           CodeNoiseSums& sums);
  // The phase slipped, or the value is not to be trusted.
  void forget() { count_ = 0; }

 private:
  static constexpr double kLongestStepS = 60;

  GnssTime last_;
  double step_s_ = 0;
  std::size_t count_ = 0;             // values in a row, at most three kept
  std::array<double, 3> values_m_{};  // newest first
};

}  // namespace stillpoint::quality

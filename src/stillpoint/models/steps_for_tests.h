// Evenly spaced values for the loops of tests.
#pragma once

#include <cmath>
#include <vector>

namespace stillpoint::models {

// from, from + step, … up to `to` (half a step of tolerance); step may be
// negative.
inline std::vector<double> steps(double from, double to, double step) {
  std::vector<double> values;
  const long count = std::lround(std::floor((to - from) / step + 0.5));
  for (long i = 0; i <= count; ++i) {
    values.push_back(from + static_cast<double>(i) * step);
  }
  return values;
}

}  // namespace stillpoint::models

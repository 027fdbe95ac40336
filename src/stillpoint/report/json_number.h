// Numbers of the JSON documents.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>

namespace stillpoint::report {

// Keeps numbers readable: `per_unit` steps to the unit, 1e5 for 0.01 mm.
// Dividing by a whole number gives the double nearest to the decimal.
inline double rounded(double v, double per_unit) {
  return std::round(v * per_unit) / per_unit;
}

// The same; null for what is no number.
inline nlohmann::ordered_json number(double v, double per_unit) {
  return std::isfinite(v) ? nlohmann::ordered_json(rounded(v, per_unit))
                          : nlohmann::ordered_json(nullptr);
}

}  // namespace stillpoint::report

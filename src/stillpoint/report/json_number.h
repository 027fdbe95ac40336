// Numbers of the JSON documents.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <nlohmann/json.hpp>

#include "stillpoint/geo/coords.h"

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

inline nlohmann::ordered_json triple(const std::array<double, 3>& v,
                                     double per_unit) {
  return nlohmann::ordered_json::array(
      {number(v[0], per_unit), number(v[1], per_unit), number(v[2], per_unit)});
}

inline nlohmann::ordered_json triple(const Ecef& v, double per_unit) {
  return triple(std::array<double, 3>{v.x_m, v.y_m, v.z_m}, per_unit);
}

inline nlohmann::ordered_json triple(const Enu& v, double per_unit) {
  return triple(std::array<double, 3>{v.e_m, v.n_m, v.u_m}, per_unit);
}

// Three rows of three, with all digits.
inline nlohmann::ordered_json matrix(const Mat3& m) {
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (std::size_t row = 0; row < 3; ++row) {
    rows.push_back({m[3 * row], m[3 * row + 1], m[3 * row + 2]});
  }
  return rows;
}

}  // namespace stillpoint::report

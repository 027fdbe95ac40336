// Values of people and programs into fields of limited width.
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>

#include "stillpoint/core/result.h"

namespace stillpoint::rtcm {

// Longest name that one counter may announce (DF029, DF032, DF227, DF229,
// DF231).
inline constexpr std::size_t kMaxName = 31;

// Takes values into fields and remembers the first that did not fit.
class Fitter {
 public:
  // value * per_unit to the nearest whole number within [low, high].
  std::int64_t scaled(const char* what,
                      double value,
                      double per_unit,
                      std::int64_t low,
                      std::int64_t high) {
    const double whole = std::round(value * per_unit);
    if (!(whole >= static_cast<double>(low) &&
          whole <= static_cast<double>(high))) {
      complain(fmt::format("{} {} is outside [{}, {}]",
                           what,
                           value,
                           static_cast<double>(low) / per_unit,
                           static_cast<double>(high) / per_unit));
      return 0;
    }
    return static_cast<std::int64_t>(whole);
  }
  template <class Field>
  void whole(Field& field, const char* what, int value, int high) {
    if (value < 0 || value > high) {
      complain(fmt::format("{} {} is outside [0, {}]", what, value, high));
      return;
    }
    field = static_cast<Field>(value);
  }
  void name(std::string& field, const char* what, const std::string& value) {
    at_most(what, value.size(), kMaxName, "bytes");
    field = value;
  }
  void at_most(const char* what,
               std::size_t count,
               std::size_t most,
               const char* unit) {
    if (count > most) {
      complain(
          fmt::format("{} has {} {}, at most {}", what, count, unit, most));
    }
  }
  template <class Raw>
  Result<Raw> result(Raw raw) {
    if (!problem_.empty()) {
      return fail(ErrorCode::kOutOfRange, std::move(problem_));
    }
    return raw;
  }

 private:
  void complain(std::string problem) {
    if (problem_.empty()) {
      problem_ = std::move(problem);
    }
  }
  std::string problem_;
};

}  // namespace stillpoint::rtcm

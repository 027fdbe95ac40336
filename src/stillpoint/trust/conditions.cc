#include "stillpoint/trust/conditions.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace stillpoint::trust {
namespace {

std::vector<Condition> all_rows() {
  const auto first = coordinate_conditions();
  const auto second = station_conditions();
  std::vector<Condition> rows(first.begin(), first.end());
  rows.insert(rows.end(), second.begin(), second.end());
  return rows;
}

}  // namespace

std::span<const Condition> conditions() {
  static const std::vector<Condition> rows = all_rows();
  return rows;
}

Look look(const Condition& condition, const Inputs& inputs) {
  const std::optional<double> value = condition.value(inputs);
  if (!value || std::isnan(*value)) {
    return Look::kUnknown;
  }
  const double sign = condition.bad == Bad::kAbove ? 1 : -1;
  if (sign * *value > sign * condition.enter) {
    return Look::kBad;
  }
  return sign * *value <= sign * condition.leave ? Look::kGood : Look::kBetween;
}

double leave_after_s(const Condition& condition, const Inputs& inputs) {
  return condition.times_silence
             ? std::max(condition.leave_after_s, 2 * inputs.silence_s)
             : condition.leave_after_s;
}

std::string length_text(double length_m) {
  if (length_m < 0.0995) {
    return fmt::format("{:.0f} mm", 1000 * length_m);
  }
  return length_m < 99.995 ? fmt::format("{:.2f} m", length_m)
                           : fmt::format("{:.0f} m", length_m);
}

}  // namespace stillpoint::trust

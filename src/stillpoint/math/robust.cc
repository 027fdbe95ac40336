#include "stillpoint/math/robust.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace stillpoint::math {

namespace {

double quantile_in_place(std::span<double> values, double p) {
  if (values.empty()) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  const double place = p * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::ptrdiff_t>(std::floor(place));
  const auto at = values.begin() + low;
  std::nth_element(values.begin(), at, values.end());
  const double below = *at;
  const double fraction = place - static_cast<double>(low);
  if (fraction == 0.0) {
    return below;
  }
  const double above = *std::min_element(at + 1, values.end());
  return below + fraction * (above - below);
}

}  // namespace

double quantile(std::vector<double> values, double p) {
  return quantile_in_place(values, p);
}

double median(std::vector<double> values) {
  return quantile_in_place(values, 0.5);
}

double median_in_place(std::span<double> values) {
  return quantile_in_place(values, 0.5);
}

double robust_sigma(const std::vector<double>& values) {
  const double centre = median(values);
  std::vector<double> deviations;
  deviations.reserve(values.size());
  for (const double v : values) {
    deviations.push_back(std::abs(v - centre));
  }
  return 1.4826 * median_in_place(deviations);
}

}  // namespace stillpoint::math

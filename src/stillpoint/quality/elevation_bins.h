// Figures sorted by elevation: nine bins of ten degrees, and a place for
// satellites whose elevation is not known.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>

namespace stillpoint::quality {

inline constexpr std::size_t kElevationBins = 9;  // of ten degrees
inline constexpr double kElevationBinRad =
    std::numbers::pi / 2 / static_cast<double>(kElevationBins);
inline constexpr std::size_t kUnknownElevation = kElevationBins;

// [0] is 0 .. 10 degrees (and what came from below the horizon), [8] is 80 ..
// 90, [kUnknownElevation] are the satellites without an orbit.
template <class T>
using ByElevation = std::array<T, kElevationBins + 1>;

// Place in a ByElevation.
inline std::size_t elevation_place(std::optional<double> elevation_rad) {
  if (!elevation_rad || !std::isfinite(*elevation_rad)) {
    return kUnknownElevation;
  }
  const double bin = std::floor(*elevation_rad / kElevationBinRad);
  return static_cast<std::size_t>(
      std::clamp(bin, 0.0, static_cast<double>(kElevationBins - 1)));
}

// Squares added up; the root of their mean.
struct SquareSum {
  std::uint64_t count = 0;
  double sum = 0;

  void add(double squares, std::uint64_t n = 1) {
    sum += squares;
    count += n;
  }
  void add(const SquareSum& other) { add(other.sum, other.count); }
  // NaN where nothing was added.
  [[nodiscard]] double rms() const {
    return count == 0 ? std::numeric_limits<double>::quiet_NaN()
                      : std::sqrt(sum / static_cast<double>(count));
  }
};

}  // namespace stillpoint::quality

#include "stillpoint/simulate/nature/wet_field.h"

#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr std::size_t kOctaves = 9, kDirections = 6;
constexpr double kShortestM = 4000;
constexpr double kReferenceM = 10'000;
constexpr double kWindMps = 10;

using Sizes = std::array<double, kOctaves>;

// Sigma of each of an octave's two amplitudes (cosine and sine) in a
// direction, for a difference of one over the reference distance. A wave of
// wavelength w and variance v gives a difference over d the variance
// 2 v (1 - J0(2 pi d / w)), averaged over its directions.
Sizes make_sizes() {
  Sizes sizes{};
  double square = 0, length_m = kShortestM;
  for (double& size : sizes) {
    size = std::cbrt(length_m / kReferenceM);
    square += 2 * size * size *
              (1 - std::cyl_bessel_j(0.0, kTurn * kReferenceM / length_m));
    length_m *= 2;
  }
  const double factor =
      1 / std::sqrt(square * static_cast<double>(kDirections));
  for (double& size : sizes) {
    size *= factor;
  }
  return sizes;
}

}  // namespace

double wet_field_m(const RandomKey& key,
                   double apart_m,
                   double east_m,
                   double north_m,
                   GnssTime t) {
  static const Sizes sizes = make_sizes();
  const double wind_rad = kTurn * random_uniform(key, 0);
  const double carried_m = kWindMps * (static_cast<double>(t.ns()) / 1e9);
  double sum = 0, length_m = kShortestM;
  std::uint64_t index = 1;
  for (const double size : sizes) {
    for (std::size_t i = 0; i < kDirections; ++i) {
      const double towards_rad = kTurn * random_uniform(key, index);
      const double along_m =
          east_m * std::sin(towards_rad) + north_m * std::cos(towards_rad);
      const double by_wind_m = carried_m * std::cos(towards_rad - wind_rad);
      const double angle =
          kTurn * (along_m - std::fmod(by_wind_m, length_m)) / length_m;
      sum += size * (random_gaussian(key, index + 1) * std::cos(angle) +
                     random_gaussian(key, index + 2) * std::sin(angle));
      index += 3;
    }
    length_m *= 2;
  }
  return apart_m * sum;
}

}  // namespace stillpoint::simulate

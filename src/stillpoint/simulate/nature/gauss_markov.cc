#include "stillpoint/simulate/nature/gauss_markov.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr double kBlockTaus = 8;
constexpr int kHalvings = 11;  // 8 tau / 2048 = tau / 256

// Of the middle point, given both ends of an interval: factor of their sum in
// the mean, and the standard deviation about it.
struct Bridge {
  double of_sum = 0, sigma = 0;
};

std::array<Bridge, kHalvings> make_bridges() {
  std::array<Bridge, kHalvings> bridges;
  double half = kBlockTaus / 2;
  for (Bridge& b : bridges) {
    const double rho = std::exp(-half);
    b.of_sum = rho / (1 + rho * rho);
    b.sigma = std::sqrt((1 - rho * rho) / (1 + rho * rho));
    half /= 2;
  }
  return bridges;
}

// Block number and point of the block as one index; point 0 is its start.
std::uint64_t point_index(std::int64_t block, std::uint64_t point) {
  return (static_cast<std::uint64_t>(block) << 12U) + point;
}

}  // namespace

double gauss_markov(const RandomKey& key, GnssTime t, double correlation_s) {
  static const std::array<Bridge, kHalvings> bridges = make_bridges();
  const std::int64_t length_ns =
      std::llround(std::max(correlation_s, 1e-3) * kBlockTaus * 1e9);
  std::int64_t block = t.ns() / length_ns;
  std::int64_t rest_ns = t.ns() % length_ns;
  if (rest_ns < 0) {
    rest_ns += length_ns;
    --block;
  }
  double place = static_cast<double>(rest_ns) / static_cast<double>(length_ns);

  double left = random_gaussian(key, point_index(block, 0));
  double right = random_gaussian(key, point_index(block + 1, 0));
  std::uint64_t point = 1;
  for (const Bridge& b : bridges) {
    const double middle =
        b.of_sum * (left + right) +
        b.sigma * random_gaussian(key, point_index(block, point));
    place *= 2;
    const bool in_right = place >= 1;
    if (in_right) {
      place -= 1;
    }
    (in_right ? left : right) = middle;
    point = 2 * point + (in_right ? 1 : 0);
  }
  return left + place * (right - left);
}

}  // namespace stillpoint::simulate

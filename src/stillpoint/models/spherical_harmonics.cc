#include "stillpoint/models/spherical_harmonics.h"

#include <cmath>

namespace stillpoint::models {
namespace {

constexpr std::size_t at(std::size_t n, std::size_t m) {
  return n * (n + 1) / 2 + m;
}

}  // namespace

Harmonics compute_harmonics(double lat_rad, double lon_rad) {
  const double x = std::cos(lat_rad) * std::cos(lon_rad);
  const double y = std::cos(lat_rad) * std::sin(lon_rad);
  const double z = std::sin(lat_rad);
  Harmonics h;
  h.v[0] = 1;
  for (std::size_t m = 0; m <= kHarmonicDegree; ++m) {
    const auto md = static_cast<double>(m);
    if (m > 0) {  // diagonal from the one before
      const std::size_t before = at(m - 1, m - 1);
      h.v[at(m, m)] = (2 * md - 1) * (x * h.v[before] - y * h.w[before]);
      h.w[at(m, m)] = (2 * md - 1) * (x * h.w[before] + y * h.v[before]);
    }
    for (std::size_t n = m + 1; n <= kHarmonicDegree; ++n) {
      const auto nd = static_cast<double>(n);
      const double up = (2 * nd - 1) * z / (nd - md);
      h.v[at(n, m)] = up * h.v[at(n - 1, m)];
      h.w[at(n, m)] = up * h.w[at(n - 1, m)];
      if (n >= m + 2) {
        const double back = (nd + md - 1) / (nd - md);
        h.v[at(n, m)] -= back * h.v[at(n - 2, m)];
        h.w[at(n, m)] -= back * h.w[at(n - 2, m)];
      }
    }
  }
  return h;
}

}  // namespace stillpoint::models

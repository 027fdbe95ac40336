#include "stillpoint/models/spherical_harmonics.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

// kind: cross   source: the C++ library's associated Legendre functions
// (std::assoc_legendre, without the phase (-1)^m)
// tolerance: 1e-12 of the largest value of a degree, rounding of recurrences
TEST(Harmonics, AgreeWithTheLibrarysLegendreFunctions) {
  for (const double lat : steps(-1.5, 1.5, 0.3)) {
    for (const double lon : steps(-3, 3, 0.7)) {
      const Harmonics h = compute_harmonics(lat, lon);
      for (unsigned n = 0; n <= kHarmonicDegree; ++n) {
        for (unsigned m = 0; m <= n; ++m) {
          const double p = std::assoc_legendre(n, m, std::sin(lat));
          const std::size_t i = n * (n + 1) / 2 + m;
          const double scale = 1e-12 * std::tgamma(n + m + 1.0);
          EXPECT_NEAR(h.v[i], p * std::cos(m * lon), scale) << n << "," << m;
          EXPECT_NEAR(h.w[i], p * std::sin(m * lon), scale) << n << "," << m;
        }
      }
    }
  }
}

TEST(Harmonics, AreFiniteAtThePoles) {
  for (const double lat : {-std::numbers::pi / 2, std::numbers::pi / 2}) {
    const Harmonics h = compute_harmonics(lat, 0.3);
    for (std::size_t i = 0; i < kHarmonicCount; ++i) {
      EXPECT_TRUE(std::isfinite(h.v[i]) && std::isfinite(h.w[i]));
    }
  }
}

}  // namespace
}  // namespace stillpoint::models

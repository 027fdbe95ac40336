#include "stillpoint/simulate/nature/gauss_markov.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

const GnssTime kStart = GnssTime::from_gps_week(2190, 0);

// Mean product of two values `lag_s` apart, over many processes.
double product(double tau_s, double offset_s, double lag_s, int count) {
  double sum = 0;
  for (int i = 0; i < count; ++i) {
    const RandomKey key{11, static_cast<std::uint64_t>(i)};
    const GnssTime t = kStart + Duration{offset_s};
    sum += gauss_markov(key, t, tau_s) *
           gauss_markov(key, t + Duration{lag_s}, tau_s);
  }
  return sum / count;
}

// kind: cross
// tolerance: four standard deviations of a mean product (at most sqrt 2 for
// one) over 20000 processes; offsets hit the ends of blocks (80 s), the middle
// and odd places
TEST(GaussMarkov, HasTheCorrelationOfItsDefinition) {
  constexpr int kCount = 20'000;
  const double tolerance = 4 * std::sqrt(2.0 / kCount);
  for (const double offset_s : {0.0, 17.3, 40.0, 73.9, 79.99}) {
    for (const double lag_s : {0.0, 1.0, 5.0, 10.0, 30.0}) {
      EXPECT_NEAR(product(10, offset_s, lag_s, kCount),
                  std::exp(-lag_s / 10),
                  tolerance)
          << offset_s << " " << lag_s;
    }
  }
}

TEST(GaussMarkov, IsTheSameInAnyOrder) {
  const RandomKey key{1, 2};
  const double first = gauss_markov(key, kStart + Duration{5}, 3);
  const double later = gauss_markov(key, kStart + Duration{500}, 3);
  EXPECT_NE(first, later);
  EXPECT_EQ(gauss_markov(key, kStart + Duration{500}, 3), later);
  EXPECT_EQ(gauss_markov(key, kStart + Duration{5}, 3), first);
}

// kind: cross
// tolerance: 0.01, where a step of 1e-6 correlation times on a line of slope
// below 0.01 an instant ends
TEST(GaussMarkov, IsContinuousAcrossTheEndsOfBlocks) {
  const RandomKey key{4, 4};
  for (int i = -40; i < 40; ++i) {
    const GnssTime t = GnssTime::from_ns(i * 8'000'000'000LL);  // tau 1 s
    const double before = gauss_markov(key, t - Duration{1e-6}, 1);
    const double after = gauss_markov(key, t + Duration{1e-6}, 1);
    EXPECT_NEAR(before, after, 0.01) << i;
  }
}

}  // namespace
}  // namespace stillpoint::simulate

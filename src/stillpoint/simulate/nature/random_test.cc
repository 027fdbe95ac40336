#include "stillpoint/simulate/nature/random.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr int kMany = 20'000;

// kind: published   source: first outputs of the generator of Steele, Lea,
// Flood from seed 0, as its users print them (from memory)
TEST(MixBits, GivesThePublishedSequence) {
  constexpr std::uint64_t kStep = 0x9E37'79B9'7F4A'7C15U;
  EXPECT_EQ(mix_bits(1 * kStep), 0xE220'A839'7B1D'CDAFU);
  EXPECT_EQ(mix_bits(2 * kStep), 0x6E78'9E6A'A1B9'65F4U);
  EXPECT_EQ(mix_bits(3 * kStep), 0x06C4'5D18'8009'454FU);
}

// kind: published   source: tables of the normal distribution: 1.959964 at
// 0.975, 3.090232 at 0.999 (any handbook)
// tolerance: 5e-7, six printed decimals
TEST(NormalQuantile, MeetsTheTables) {
  EXPECT_NEAR(normal_quantile(0.975), 1.959964, 5e-7);
  EXPECT_NEAR(normal_quantile(0.999), 3.090232, 5e-7);
  EXPECT_NEAR(normal_quantile(0.025), -1.959964, 5e-7);
  EXPECT_EQ(normal_quantile(0.5), 0);
}

// kind: cross
// tolerance: 1e-13 of the probability, against the library's erfc, over the
// middle, the tails and the far tails
TEST(NormalQuantile, TurnsTheErrorFunctionRound) {
  for (double p = 0.5; p > 1e-16; p *= 0.83) {
    const double back = 0.5 * std::erfc(-normal_quantile(p) / std::sqrt(2.0));
    EXPECT_NEAR(back / p, 1, 1e-13) << p;
    if (p < 0.3) {
      continue;
    }
    EXPECT_NEAR(normal_quantile(1 - p), -normal_quantile(p), 1e-14) << p;
  }
}

// kind: cross
// tolerance: four standard deviations of each moment for 20000 draws
TEST(RandomGaussian, HasTheMomentsOfTheNormalLaw) {
  const RandomKey key{42, 7};
  double m1 = 0, m2 = 0, m3 = 0, m4 = 0, serial = 0, last = 0;
  for (int i = 0; i < kMany; ++i) {
    const double g = random_gaussian(key, static_cast<std::uint64_t>(i));
    m1 += g;
    m2 += g * g;
    m3 += g * g * g;
    m4 += g * g * g * g;
    serial += g * last;
    last = g;
  }
  const double sigma = 4 / std::sqrt(kMany);
  EXPECT_NEAR(m1 / kMany, 0, sigma);
  EXPECT_NEAR(m2 / kMany, 1, sigma * std::sqrt(2.0));
  EXPECT_NEAR(m3 / kMany, 0, sigma * std::sqrt(15.0));
  EXPECT_NEAR(m4 / kMany, 3, sigma * std::sqrt(96.0));
  EXPECT_NEAR(serial / kMany, 0, sigma);
}

double correlation(const RandomKey& a, const RandomKey& b) {
  double sum = 0;
  for (int i = 0; i < kMany; ++i) {
    const auto index = static_cast<std::uint64_t>(i);
    sum += random_gaussian(a, index) * random_gaussian(b, index);
  }
  return sum / kMany;
}

// kind: cross
// tolerance: four standard deviations for 20000 draws
TEST(RandomGaussian, IsIndependentBetweenStreamsSeedsAndParts) {
  const double sigma = 4 / std::sqrt(kMany);
  EXPECT_NEAR(correlation({1, 1}, {1, 2}), 0, sigma);
  EXPECT_NEAR(correlation({1, 1}, {2, 1}), 0, sigma);
  EXPECT_NEAR(correlation({1, 2}, {2, 1}), 0, sigma);
  EXPECT_NEAR(correlation({0, 0}, {0, 1}), 0, sigma);
  const RandomKey key{5, 5};
  EXPECT_NEAR(correlation(key, sub_key(key, 0)), 0, sigma);
  EXPECT_NEAR(correlation(sub_key(key, 0), sub_key(key, 1)), 0, sigma);
}

TEST(RandomUniform, StaysBetweenItsEndsAndFillsTheMiddle) {
  int below_half = 0;
  for (int i = 0; i < kMany; ++i) {
    const double u = random_uniform({3, 9}, static_cast<std::uint64_t>(i));
    ASSERT_GT(u, 0);
    ASSERT_LT(u, 1);
    below_half += u < 0.5 ? 1 : 0;
  }
  EXPECT_GT(below_half, kMany / 2 - 283);  // four standard deviations
  EXPECT_LT(below_half, kMany / 2 + 283);
}

TEST(SubKey, DoesNotComeBackToAKeyNearby) {
  const RandomKey a = sub_key({1, 0}, 1);
  const RandomKey b = sub_key({1, 1}, 0);
  EXPECT_NE(a.stream, b.stream);
  EXPECT_EQ(a.seed, 1U);
}

// kind: regression
TEST(RandomBits, AreFrozen) {
  EXPECT_EQ(random_bits({1, 2}, 3), 5768729260687776451U);
  EXPECT_EQ(random_bits({0, 0}, 0), 17082178867596717304U);
  EXPECT_EQ(random_gaussian({1, 2}, 3), -0.48814536572198469);
}

}  // namespace
}  // namespace stillpoint::simulate

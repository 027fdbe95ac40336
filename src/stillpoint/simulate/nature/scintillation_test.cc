#include "stillpoint/simulate/nature/scintillation.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

const GnssTime kStart = GnssTime::from_gps_week(2190, 0);

struct Moments {
  double mean_power = 0, s4 = 0, sigma_phi = 0, deep_share = 0;
};

// Of many independent rays at one instant.
Moments moments(const ScintillationStrength& strength, int count) {
  double p1 = 0, p2 = 0, f2 = 0, deep = 0;
  for (int i = 0; i < count; ++i) {
    const RandomKey key = sub_key({77, 1}, static_cast<std::uint64_t>(i));
    const Scintillation s = scintillation(key, kStart, strength);
    p1 += s.power;
    p2 += s.power * s.power;
    f2 += s.phase_rad * s.phase_rad;
    deep += s.power < 0.1 ? 1 : 0;
  }
  const double mean = p1 / count;
  return {mean,
          std::sqrt(p2 / count - mean * mean) / mean,
          std::sqrt(f2 / count),
          deep / count};
}

// kind: cross
// tolerance: 5 % of s4 and 3 % of the mean as the header promises, with the
// scatter of 20000 rays; s4 is by definition the deviation over the mean
TEST(Scintillation, HasTheStrengthItIsGiven) {
  for (const double s4 : {0.2, 0.5, 0.8}) {
    const Moments m = moments({s4, 0.4}, 20'000);
    EXPECT_NEAR(m.mean_power, 1, 0.01 + 3 * s4 / std::sqrt(20'000.0));
    EXPECT_NEAR(m.s4 / s4, 1, 0.05);
    EXPECT_NEAR(m.sigma_phi, 0.4, 0.4 * 0.02);
  }
}

// kind: cross
// tolerance: 0.02 of the share of fades deeper than 10 dB. With s4 = 1 the
// power is exponential, and 1 - exp(-0.1) = 0.0952 of it lies below 0.1
TEST(Scintillation, FadesLikeRayleighWhenSaturated) {
  EXPECT_NEAR(moments({1.0, 0}, 20'000).deep_share, 0.0952, 0.02);
}

TEST(Scintillation, IsQuietWithoutStrength) {
  const Scintillation s = scintillation({1, 1}, kStart, {});
  EXPECT_EQ(s.power, 1);
  EXPECT_EQ(s.phase_rad, 0);
}

TEST(Scintillation, NeverFadesBelowItsFloor) {
  for (int i = 0; i < 5'000; ++i) {
    const Scintillation s =
        scintillation({9, static_cast<std::uint64_t>(i)}, kStart, {1.2, 1});
    EXPECT_GE(s.power, 1e-3);
  }
}

// kind: cross
// tolerance: 1e-12, the definition: (154/120)^1.5 and 154/120 for L2
TEST(ScaleScintillation, IsStrongerOnLowerFrequencies) {
  const double ratio = 154.0 / 120.0;
  const ScintillationStrength on_l2 = scale_scintillation({0.4, 0.3}, 1227.6e6);
  EXPECT_NEAR(on_l2.s4, 0.4 * std::pow(ratio, 1.5), 1e-12);
  EXPECT_NEAR(on_l2.sigma_phi_rad, 0.3 * ratio, 1e-12);
}

}  // namespace
}  // namespace stillpoint::simulate

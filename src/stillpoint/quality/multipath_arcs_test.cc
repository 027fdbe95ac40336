#include "stillpoint/quality/multipath_arcs.h"

#include <gtest/gtest.h>

#include <numbers>
#include <random>

#include "stillpoint/quality/signals_test_support.h"

namespace stillpoint::quality {
namespace {

constexpr double kL1Hz = 1575.42e6, kL2Hz = 1227.60e6;

GnssTime after(double s) {
  return kSessionStart + Duration{s};
}

// kind: published
// source: Estey and Meertens 1999, GPS Solut. 3(1):42-49, MP1 and MP2 with
// a = 1.646944 (shared checks section 8, from memory)
// tolerance: 1e-4 m: half a digit of a changes 2 / (a - 1) by 2.4e-6, times
// phases that differ by up to 30 m
TEST(Multipath, CombinationsOfL1AndL2AreThoseOfTheLiterature) {
  const double a = 1.646944;
  const double p1 = 13, p2 = -8, l1 = 21, l2 = -9;
  const double mp1 = p1 - (1 + 2 / (a - 1)) * l1 + 2 / (a - 1) * l2;
  const double mp2 = p2 - 2 * a / (a - 1) * l1 + (2 * a / (a - 1) - 1) * l2;
  EXPECT_NEAR(multipath_m(p1, l1, kL1Hz, l2, kL2Hz), mp1, 1e-4);
  EXPECT_NEAR(multipath_m(p2, l2, kL2Hz, l1, kL1Hz), mp2, 1e-4);
}

// kind: cross
// tolerance: 1e-6 m: doubles of 2e7 m, times the factors of the phases
TEST(Multipath, RangeAndIonosphereDropOutForEveryPair) {
  for (const System system : kSystems) {
    for (const char band : {'1', '2', '3', '5', '6', '7', '8', '9'}) {
      const auto f = frequency_hz(system, band, 0);
      for (const char other : partner_bands(system, band)) {
        const auto g = frequency_hz(system, other, 0);
        if (!f || !g) {
          continue;
        }
        const double range = 2.3e7, first = 7,
                     second = 7 * (*f * *f) / (*g * *g);
        EXPECT_NEAR(
            multipath_m(
                range + first + 0.4, range - first, *f, range - second, *g),
            0.4,
            1e-6)
            << system_name(system) << ' ' << band << other;
      }
    }
  }
}

TEST(Multipath, NoBandIsItsOwnPartner) {
  for (const System system : kSystems) {
    for (const char band : {'1', '2', '3', '4', '5', '6', '7', '8', '9'}) {
      EXPECT_EQ(partner_bands(system, band).find(band), std::string_view::npos);
    }
  }
}

// A sine of ten whole periods, at 30 s; its second half higher in the sky and
// half as strong.
MultipathSums sine(int step_s) {
  MultipathArc arc;
  MultipathSums sums;
  for (int t = 0; t < 6000; t += step_s) {
    const double x = 0.6 * std::sin(2 * std::numbers::pi * t / 600);
    arc.add(after(t), t < 3000 ? 2 : 3, 5 + (t < 3000 ? x : x / 2));
  }
  arc.close(sums);
  return sums;
}

// kind: cross
// tolerance: 1e-9 m: over whole periods the RMS of a sine is exact
TEST(MultipathArc, RmsOfASineIsItsAmplitudeOverRootTwo) {
  const MultipathSums sums = sine(30);
  EXPECT_EQ(sums.arcs, 1U);
  EXPECT_NEAR(sums.by_elevation[2].rms(), 0.6 / std::sqrt(2), 1e-9);
  EXPECT_NEAR(sums.by_elevation[3].rms(), 0.3 / std::sqrt(2), 1e-9);
  EXPECT_EQ(sums.by_elevation[2].count, 100U);
  EXPECT_NEAR(sums.total().rms(), std::sqrt((0.18 + 0.045) / 2), 1e-9);
}

// kind: cross
// tolerance: 0.05: up to ten of two hundred pairs are missing at the end and at
// the change of amplitude
TEST(MultipathArc, SineRepeatsAsItsCosineAtAnyRate) {
  for (const int step_s : {1, 30}) {
    const auto correlation = sine(step_s).correlation();
    for (std::size_t i = 0; i < kLags; ++i) {
      const double lag_s = kLagS * static_cast<double>(i + 1);
      EXPECT_NEAR(
          correlation[i], std::cos(2 * std::numbers::pi * lag_s / 600), 0.05)
          << lag_s;
    }
  }
}

// kind: cross
// tolerance: 4 sigma; sigma of a variance ratio is sqrt(1/2n) (RMS), 1/sqrt(n)
// (correlation)
TEST(MultipathArc, NoiseKeepsItsSigmaAndDoesNotRepeat) {
  std::mt19937 random(7);
  std::normal_distribution<double> normal(0, 0.3);
  MultipathArc arc;
  MultipathSums sums;
  const int n = 2880;
  for (int i = 0; i < n; ++i) {
    arc.add(after(30.0 * i), 0, normal(random));
  }
  arc.close(sums);
  EXPECT_NEAR(sums.total().rms() / 0.3, 1, 4 / std::sqrt(2.0 * n));
  for (const double c : sums.correlation()) {
    EXPECT_NEAR(c, 0, 4 / std::sqrt(n));
  }
}

// kind: cross
// tolerance: 1e-9 m, rounding
TEST(MultipathArc, EachArcLosesItsOwnMean) {
  MultipathSums sums;
  MultipathArc arc;
  for (const double offset_m : {-3e5, 12.0}) {
    for (int i = 0; i < 100; ++i) {
      arc.add(after(30.0 * i), 1, offset_m + (i % 2 == 0 ? 0.25 : -0.25));
    }
    arc.close(sums);
    EXPECT_TRUE(arc.empty());
  }
  EXPECT_EQ(sums.arcs, 2U);
  EXPECT_NEAR(sums.total().rms(), 0.25, 1e-9);
}

TEST(MultipathArc, LagsTakeOneSampleEachHowManyThereAre) {
  MultipathSums sums;
  MultipathArc arc;
  for (int i = 0; i <= 6000; ++i) {  // 600 s at 10 Hz
    arc.add(after(0.1 * i), 1, i % 7);
  }
  arc.close(sums);
  EXPECT_EQ(sums.total().count, 6001U);
  for (std::size_t i = 0; i < kLags; ++i) {
    EXPECT_EQ(sums.lags[i].pairs, 20 - i);
  }
}

TEST(MultipathArc, ShortArcsAreCountedAndLeftOut) {
  MultipathSums sums;
  MultipathArc arc;
  for (int i = 0; i < 20; ++i) {  // 570 s
    arc.add(after(30.0 * i), 1, i);
  }
  arc.close(sums);
  for (int i = 0; i < 9; ++i) {  // long, but few
    arc.add(after(300.0 * i), 1, i);
  }
  arc.close(sums);
  arc.close(sums);  // nothing in it
  EXPECT_EQ(sums.arcs, 0U);
  EXPECT_EQ(sums.short_arcs, 2U);
  EXPECT_EQ(sums.total().count, 0U);
}

}  // namespace
}  // namespace stillpoint::quality

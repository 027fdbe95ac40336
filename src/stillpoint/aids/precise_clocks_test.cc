#include "stillpoint/aids/precise_clocks.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint {
namespace {

constexpr SatId kG07{System::kGps, 7};
constexpr SatId kE11{System::kGalileo, 11};
const GnssTime kStart = GnssTime::from_gps_week(2341, 518'400);

// Epochs every 30 s; G07 on all, E11 on every tenth.
ClockProduct two_satellites(int epochs) {
  ClockProduct product;
  product.series.resize(2);
  product.series[0].name = "G07";
  product.series[0].satellite = kG07;
  product.series[1].name = "E11";
  product.series[1].satellite = kE11;
  for (int k = 0; k < epochs; ++k) {
    product.epochs.push_back(kStart + Duration{30.0 * k});
    const auto epoch = static_cast<std::uint32_t>(k);
    // A drift, and a wobble of 1 ps.
    const double clock_s = 1e-4 + 3e-10 * k + (k % 2 == 0 ? 0 : 1e-12);
    product.series[0].samples.push_back({clock_s, 2e-11F, epoch});
    if (k % 10 == 0) {
      product.series[1].samples.push_back(
          {2e-5, std::numeric_limits<float>::quiet_NaN(), epoch});
    }
  }
  return product;
}

// kind: cross (a straight line)
// tolerance: 1e-19 s, roundings of 1e-4 s
TEST(PreciseClocks, AreLinearBetweenNeighbours) {
  PreciseClocks clocks;
  clocks.add(two_satellites(41));
  EXPECT_NEAR(
      *clocks.clock_s(kG07, kStart + Duration{60}), 1e-4 + 2 * 3e-10, 1e-19);
  // A third of the way from an even sample to an odd one.
  EXPECT_NEAR(*clocks.clock_s(kG07, kStart + Duration{70}),
              1e-4 + 3e-10 * (2 + 1.0 / 3) + 1e-12 / 3,
              1e-19);
  EXPECT_EQ(*clocks.interval_s(kG07), 30);
  EXPECT_EQ(*clocks.interval_s(kE11), 300);
  // Each satellite by its own interval.
  EXPECT_NEAR(*clocks.clock_s(kE11, kStart + Duration{155}), 2e-5, 1e-19);
  EXPECT_TRUE(
      std::isnan(clocks.clock_at(kE11, kStart + Duration{155})->sigma_s));
}

TEST(PreciseClocks, AreNeverExtrapolated) {
  PreciseClocks clocks;
  clocks.add(two_satellites(41));
  EXPECT_EQ(clocks.first(), kStart);
  EXPECT_EQ(clocks.last(), kStart + Duration{1200});
  EXPECT_TRUE(clocks.clock_s(kG07, kStart));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{1200}));
  EXPECT_FALSE(clocks.clock_s(kG07, kStart - Duration{1e-9}));
  EXPECT_FALSE(clocks.clock_s(kG07, kStart + Duration{1200 + 1e-9}));
  EXPECT_FALSE(clocks.clock_s({System::kGps, 8}, kStart));
}

TEST(PreciseClocks, GapOfMoreThanOneAndAHalfIntervalsIsNotBridged) {
  ClockProduct product = two_satellites(41);
  // G07 without epoch 20: a gap of two intervals.
  auto& samples = product.series[0].samples;
  samples.erase(samples.begin() + 20);
  // An epoch of its own 45 s after the last.
  product.epochs.push_back(kStart + Duration{1245});
  samples.push_back({1e-4 + 41.5 * 3e-10, 2e-11F, 41});
  PreciseClocks clocks;
  clocks.add(std::move(product));
  EXPECT_FALSE(clocks.clock_s(kG07, kStart + Duration{600}));
  EXPECT_FALSE(clocks.clock_s(kG07, kStart + Duration{571}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{570}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{630}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{1220}));
}

TEST(PreciseClocks, JumpIsFoundAndNotCrossed) {
  ClockProduct product = two_satellites(41);
  for (std::size_t k = 15; k < 41; ++k) {
    product.series[0].samples[k].clock_s += 1e-9;
  }
  PreciseClocks clocks;
  clocks.add(std::move(product));
  EXPECT_EQ(clocks.jumps(kG07), 1U);
  EXPECT_FALSE(clocks.clock_s(kG07, kStart + Duration{14.5 * 30}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{13.5 * 30}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{15.5 * 30}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{14.0 * 30}));
  EXPECT_TRUE(clocks.clock_s(kG07, kStart + Duration{15.0 * 30}));
}

// kind: cross (second differences of an alternating 1 ps are 2 ps; wander is
// that by the median of a normal law and sqrt(2 T))
// tolerance: 1e-4 of it; 2 ps are the difference of clocks of 1e-4 s, rounded
// to 1e-20 s, and the median of a normal law is known to 4 digits
TEST(PreciseClocks, InterpolationIsWorthWhatTheSamplesShow) {
  PreciseClocks clocks;
  clocks.add(two_satellites(41));
  const double wander = 2e-12 / 0.67449 / std::sqrt(60.0);
  EXPECT_NEAR(*clocks.wander(kG07), wander, 1e-4 * wander);
  const auto middle = clocks.clock_at(kG07, kStart + Duration{75});
  EXPECT_NEAR(middle->interpolation_sigma_s,
              wander * std::sqrt(30.0) / 2,
              1e-4 * wander * 3);
  EXPECT_NEAR(middle->sigma_s, 2e-11, 1e-17);
  EXPECT_EQ(clocks.clock_at(kG07, kStart)->interpolation_sigma_s, 0);
  EXPECT_FALSE(clocks.wander(kE11));  // five samples
}

TEST(PreciseClocks, FirstProductGoesBeforeAndDaysAreNotJoined) {
  ClockProduct later = two_satellites(41);
  for (GnssTime& t : later.epochs) {
    t = t + Duration{1230};
  }
  later.series[0].samples[0].clock_s = 5;
  ClockProduct same = two_satellites(41);
  same.series[0].samples[0].clock_s = 7;
  PreciseClocks clocks;
  clocks.add(two_satellites(41));
  clocks.add(std::move(later));
  clocks.add(std::move(same));
  EXPECT_EQ(*clocks.clock_s(kG07, kStart), 1e-4);
  EXPECT_EQ(*clocks.clock_s(kG07, kStart + Duration{1230}), 5);
  // Between 1200 s and 1230 s there is nothing.
  EXPECT_FALSE(clocks.clock_s(kG07, kStart + Duration{1215}));
}

TEST(PreciseClocks, StationsAreNotAnswered) {
  ClockProduct product = two_satellites(3);
  product.series[0].satellite.reset();
  product.series[0].name = "LHOL00XXX";
  PreciseClocks clocks;
  clocks.add(std::move(product));
  EXPECT_FALSE(clocks.clock_s(kG07, kStart));
  EXPECT_TRUE(clocks.clock_s(kE11, kStart));
  EXPECT_FALSE(PreciseClocks().first());
}

// kind: cross (the numbers put in)
// tolerance: none, the numbers are handed on as they are
TEST(PreciseClocks, WideLaneBiasesAreOfASatelliteItsBandsAndItsDay) {
  ClockProduct product = two_satellites(41);
  product.wide_lane = {{kG07, kStart + Duration{300}, 0.25, '1', '2'},
                       {kG07, kStart + Duration{900}, 0.5, '1', '2'},
                       {kE11, kStart + Duration{600}, -0.75, '1', '5'}};
  ClockProduct plain = two_satellites(41);
  PreciseClocks clocks;
  clocks.add(std::move(plain));
  EXPECT_FALSE(clocks.has_wide_lane());
  clocks.add(std::move(product));
  EXPECT_TRUE(clocks.has_wide_lane());
  const auto at = [&](SatId sat, double s, char first, char second) {
    return clocks.wide_lane_cyc(sat, kStart + Duration{s}, first, second);
  };
  EXPECT_EQ(at(kG07, 30, '1', '2'), 0.25);
  EXPECT_EQ(at(kG07, 1170, '1', '2'), 0.5);
  EXPECT_EQ(at(kE11, 1200, '1', '5'), -0.75);
  EXPECT_FALSE(at(kE11, 600, '1', '7'));
  EXPECT_FALSE(at({System::kGps, 8}, 600, '1', '2'));
  // Beyond the product's epochs only as far as its last interval may reach.
  EXPECT_TRUE(at(kG07, 1200 + PreciseClocks::kBiasEdgeS, '1', '2'));
  EXPECT_FALSE(at(kG07, 1201 + PreciseClocks::kBiasEdgeS, '1', '2'));
  EXPECT_FALSE(at(kG07, -1 - PreciseClocks::kBiasEdgeS, '1', '2'));
}

}  // namespace
}  // namespace stillpoint

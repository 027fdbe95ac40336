#include "stillpoint/intake/export/decimator.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillpoint::intake {
namespace {

constexpr SatId kG07{System::kGps, 7};
constexpr SignalCode k1C{'1', 'C'}, k2W{'2', 'W'};
const GnssTime kMidnight = GnssTime::from_gps_week(2421, 0);

Epoch epoch_at(double t_s, std::vector<std::uint8_t> lli = {0, 0}) {
  Epoch epoch;
  epoch.time = kMidnight + Duration{t_s};
  for (std::size_t i = 0; i < lli.size(); ++i) {
    Observation row;
    row.signal = i == 0 ? k1C : k2W;
    row.code_m = 2e7;
    row.phase_cyc = 1e8;
    row.lli = lli[i];
    epoch.observations.push_back(row);
  }
  if (!lli.empty()) {
    epoch.satellites.push_back(
        {kG07, static_cast<std::uint16_t>(lli.size()), 0});
  }
  return epoch;
}

std::vector<int> lli_of(const Epoch& epoch) {
  std::vector<int> bits;
  for (const Observation& row : epoch.observations) {
    bits.push_back(row.lli);
  }
  return bits;
}

TEST(Decimator, TakesEverythingWithoutAnInterval) {
  Decimator all({});
  Epoch epoch = epoch_at(0.1, {1, 3});
  EXPECT_TRUE(all.take(epoch));
  EXPECT_EQ(lli_of(epoch), (std::vector{1, 3}));
}

TEST(Decimator, TakesWholeIntervalsOfGpsTime) {
  Decimator thirty(30);
  std::vector<int> taken;
  for (int t = 7; t < 130; ++t) {
    Epoch epoch = epoch_at(t);
    if (thirty.take(epoch)) {
      taken.push_back(t);
    }
  }
  EXPECT_EQ(taken, (std::vector{30, 60, 90, 120}));
}

TEST(Decimator, TakesAReadingALittleBesideAndOnlyOneOfThem) {
  Decimator thirty(30);
  Epoch before = epoch_at(29.98), at = epoch_at(30), far = epoch_at(60.03);
  EXPECT_TRUE(thirty.take(before));
  EXPECT_FALSE(thirty.take(at));
  EXPECT_FALSE(thirty.take(far));
}

TEST(Decimator, CarriesALossOfLockToTheNextEpochTaken) {
  Decimator thirty(30);
  Epoch lost = epoch_at(17, {1, 0}), good = epoch_at(18);
  EXPECT_FALSE(thirty.take(lost));
  EXPECT_FALSE(thirty.take(good));
  Epoch taken = epoch_at(30);
  EXPECT_TRUE(thirty.take(taken));
  EXPECT_EQ(lli_of(taken), (std::vector{1, 0}));
  Epoch next = epoch_at(60);
  EXPECT_TRUE(thirty.take(next));
  EXPECT_EQ(lli_of(next), (std::vector{0, 0}));
}

TEST(Decimator, TheHalfCycleIsThatOfTheEpochTaken) {
  Decimator thirty(30);
  Epoch open = epoch_at(17, {2, 3}), taken = epoch_at(30, {0, 2});
  EXPECT_FALSE(thirty.take(open));
  EXPECT_TRUE(thirty.take(taken));
  EXPECT_EQ(lli_of(taken), (std::vector{0, 3}));
}

TEST(Decimator, KeepsALossOfLockWhileTheSatelliteIsAway) {
  Decimator thirty(30);
  Epoch lost = epoch_at(17, {1, 1});
  EXPECT_FALSE(thirty.take(lost));
  Epoch away = epoch_at(30, {}), other = epoch_at(60, {0});
  EXPECT_TRUE(thirty.take(away));
  EXPECT_TRUE(thirty.take(other));
  EXPECT_EQ(lli_of(other), (std::vector{1}));
  Epoch back = epoch_at(90);
  EXPECT_TRUE(thirty.take(back));
  EXPECT_EQ(lli_of(back), (std::vector{0, 1}));
}

TEST(Decimator, KeepsALossOfLockUntilThereIsAPhase) {
  Decimator thirty(30);
  Epoch lost = epoch_at(17, {1, 0}), codes = epoch_at(30);
  EXPECT_FALSE(thirty.take(lost));
  codes.observations[0].phase_cyc = kMissing;
  EXPECT_TRUE(thirty.take(codes));
  EXPECT_EQ(lli_of(codes), (std::vector{0, 0}));
  Epoch phases = epoch_at(60);
  EXPECT_TRUE(thirty.take(phases));
  EXPECT_EQ(lli_of(phases), (std::vector{1, 0}));
}

}  // namespace
}  // namespace stillpoint::intake

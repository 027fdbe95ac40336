#include "stillpoint/aids/precise_source.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint {
namespace {

constexpr SatId kG07{System::kGps, 7}, kG08{System::kGps, 8};
constexpr SatId kR03{System::kGlonass, 3};
constexpr double kOrbitClockS = 1e-4, kFileClockS = 2e-4;
const GnssTime kStart = GnssTime::from_gps_week(2341, 345'600);
const GnssTime kNoon = kStart + Duration{6 * 900};

// A circular orbit, in axes that turn with the Earth.
Ecef place(double s) {
  const double angle = (1.4585e-4 - 7.2921151467e-5) * s;
  return {26'560e3 * std::cos(angle), 26'560e3 * std::sin(angle), 0};
}

// Two satellites every 15 minutes; clocks as given.
PreciseProduct orbit_product(double clock_s) {
  PreciseProduct p;
  p.source = "invented";
  p.frame_label = "IGS20";
  p.interval_s = 900;
  for (int k = 0; k <= 12; ++k) {
    PreciseEpoch epoch{kStart + Duration{900.0 * k}, {}};
    for (const SatId sat : {kG07, kG08}) {
      epoch.samples.push_back(
          {.sat = sat, .position_m = place(900.0 * k), .clock_s = clock_s});
    }
    p.epochs.push_back(epoch);
  }
  return p;
}

// G07 alone, every 30 s of the second hour; every other sample is off by
// `wobble_s`.
ClockProduct clock_product(double wobble_s = 0) {
  ClockProduct product;
  product.series.resize(1);
  product.series[0].name = "G07";
  product.series[0].satellite = kG07;
  for (std::uint32_t k = 0; k <= 120; ++k) {
    product.epochs.push_back(kStart + Duration{3600 + 30.0 * k});
    product.series[0].samples.push_back(
        {kFileClockS + (k % 2 == 0 ? 0 : wobble_s),
         std::numeric_limits<float>::quiet_NaN(),
         k});
  }
  return product;
}

PreciseSource source_of(double orbit_clock_s) {
  PreciseSource source;
  EXPECT_TRUE(source.orbits.add(orbit_product(orbit_clock_s)));
  return source;
}

TEST(PreciseSource, ClocksOfFilesGoBeforeThoseOfTheOrbits) {
  PreciseSource source = source_of(kOrbitClockS);
  EXPECT_EQ(source.state(kG07, kNoon)->clock_s, kOrbitClockS);
  source.clocks.add(clock_product());
  // Whether they count is said, not guessed.
  EXPECT_EQ(source.state(kG07, kNoon)->clock_s, kOrbitClockS);
  source.has_clocks = true;
  const auto state = source.state(kG07, kNoon);
  ASSERT_TRUE(state);
  EXPECT_EQ(state->clock_s, kFileClockS);
  const auto orbit = source.orbits.place(kG07, kNoon);
  EXPECT_EQ(state->position_m.x_m, orbit->position_m.x_m);
  EXPECT_EQ(state->velocity_mps.y_m, orbit->velocity_mps.y_m);
  EXPECT_EQ(state->relativity_s, orbit->relativity_s);
  EXPECT_TRUE(state->centre_of_mass);
  EXPECT_EQ(source.frame_label(), "IGS20");
}

TEST(PreciseSource, OrbitsNeedNoClockOfTheirOwnWithClockFiles) {
  PreciseSource source = source_of(kMissing);
  ASSERT_FALSE(source.state(kG07, kNoon));
  EXPECT_EQ(source.state(kG07, kNoon).error(), NoState::kNoClock);
  source.clocks.add(clock_product());
  source.has_clocks = true;
  EXPECT_TRUE(source.state(kG07, kNoon));
}

TEST(PreciseSource, ClocksOfTwoSourcesAreNotMixed) {
  PreciseSource source = source_of(kOrbitClockS);
  source.clocks.add(clock_product());
  source.has_clocks = true;
  // The orbit file has a clock of both.
  ASSERT_FALSE(source.state(kG08, kNoon));
  EXPECT_EQ(source.state(kG08, kNoon).error(), NoState::kNoClock);
  const GnssTime early = kStart + Duration{3599};
  ASSERT_FALSE(source.state(kG07, early));
  EXPECT_EQ(source.state(kG07, early).error(), NoState::kNoClock);
  EXPECT_EQ(source.state({System::kGps, 9}, kNoon).error(),
            NoState::kUnknownSatellite);
  EXPECT_EQ(source.state(kG07, kStart - Duration{7200}).error(),
            NoState::kOutsideValidity);
}

// kind: cross   orbit, 2 cm of the clock (as precise_source.cc says) and the
// wander between two samples, added in squares. A wobble of 0.1 ns has second
// differences of 0.2 ns, of whose median the wander is made (precise_clocks
// test); half way it is worth 0.2 ns / 0.67449 / sqrt(60) * sqrt(30) / 2.
// tolerance: 1e-4 of it, as of the wander
TEST(PreciseSource, SigmaHoldsOrbitClockAndTheTimeBetweenSamples) {
  PreciseSource source = source_of(kOrbitClockS);
  source.clocks.add(clock_product(1e-10));
  source.has_clocks = true;
  const double orbit_m = source.orbits.place(kG07, kNoon)->range_sigma_m;
  EXPECT_NEAR(source.state(kG07, kNoon)->range_sigma_m,
              std::hypot(orbit_m, 0.02),
              1e-9);
  const GnssTime between = kNoon + Duration{15};
  const double wander_m = kSpeedOfLightMps * 2e-10 / 0.67449 / std::sqrt(60.0) *
                          std::sqrt(30.0) / 2;
  const double between_orbit_m =
      source.orbits.place(kG07, between)->range_sigma_m;
  const double expected_m =
      std::hypot(std::hypot(between_orbit_m, 0.02), wander_m);
  EXPECT_NEAR(source.state(kG07, between)->range_sigma_m,
              expected_m,
              1e-4 * expected_m);
}

// kind: cross   a row of 3 ns.
// tolerance: 1e-21 s, roundings
TEST(PreciseSource, BiasFilesAnswerForTheirObservablesAlone) {
  PreciseSource source = source_of(kOrbitClockS);
  const SignalCode c1{'1', 'C'}, w1{'1', 'W'}, w2{'2', 'W'};
  EXPECT_EQ(source.group_delay_s(kG07, kNoon, w1), 0.0);
  EXPECT_FALSE(source.group_delay_s(kG07, kNoon, c1));
  BiasProduct product;
  BiasRow row;
  row.satellite = kG07;
  row.first = "C1C";
  row.value = 3;
  row.from = kStart;
  row.until = kStart + Duration{86'400};
  product.rows = {row};
  row.first = "L2W";  // of the phase, not of the code
  product.rows.push_back(row);
  ASSERT_TRUE(source.biases.add(product));
  EXPECT_FALSE(source.group_delay_s(kG07, kNoon, c1));
  source.has_biases = true;
  ASSERT_TRUE(source.group_delay_s(kG07, kNoon, c1));
  EXPECT_NEAR(*source.group_delay_s(kG07, kNoon, c1), 3e-9, 1e-21);
  // With biases the usual pair is no reference any more.
  EXPECT_FALSE(source.group_delay_s(kG07, kNoon, w1));
  EXPECT_FALSE(source.group_delay_s(kG07, kNoon, w2));
  EXPECT_FALSE(source.group_delay_s(kG08, kNoon, c1));
  EXPECT_FALSE(source.glonass_channel(kR03));
}

}  // namespace
}  // namespace stillpoint

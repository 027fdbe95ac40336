// Two receivers of one world: what they have in common, and what not.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "stillpoint/simulate/nature/antenna.h"
#include "stillpoint/simulate/receiver/air.h"
#include "stillpoint/simulate/receiver/receiver.h"
#include "stillpoint/simulate/simulate_test_support.h"

namespace stillpoint::simulate {
namespace {

using test::only;
using test::small_world;

constexpr double kFirstHz = 1575.42e6;

// Another receiver so far from the first.
Scenario with_second(Scenario s, const Enu& offset_m) {
  ReceiverScenario r = s.receivers.front();
  r.name = "SCND00XXX";
  r.marker = to_geodetic(from_enu(offset_m, to_ecef(r.marker)));
  s.receivers.push_back(r);
  return s;
}

struct Both {
  Epoch epochs[2];
  EpochTerms terms[2];
};

Both observe(const Scenario& scenario, double t_s) {
  const Sky sky(scenario);
  Both both;
  for (std::size_t i = 0; i < 2; ++i) {
    SimulatedReceiver receiver(sky, i);
    EXPECT_TRUE(receiver.observe(t_s, both.epochs[i], &both.terms[i]));
  }
  return both;
}

// Differences over a day of the delay on L1 between two ends of a baseline
// [m], for satellites above 15 degrees.
struct Gradients {
  double rms_m = 0, most_m = 0;
};
Gradients ionosphere_apart(const Ionosphere& ionosphere, double apart_m) {
  Scenario s = small_world(only(Effect::kIonosphere));
  s.effects.add(Effect::kWaves);
  s.length_s = 86'400;
  s.ionosphere = ionosphere;
  s = with_second(s, {0.6 * apart_m, 0.8 * apart_m, 0});
  const Sky sky(s);
  SimulatedReceiver first(sky, 0), second(sky, 1);
  Gradients g;
  double square = 0;
  int count = 0;
  for (double t_s = 0; t_s < s.length_s; t_s += 900) {
    Epoch epoch;
    EpochTerms here, there;
    first.observe(t_s, epoch, &here);
    second.observe(t_s, epoch, &there);
    std::map<SatId, double> tecu;
    for (const SatelliteTerms& v : here.satellites) {
      tecu[v.sat] = v.slant_tecu;
    }
    for (const SatelliteTerms& v : there.satellites) {
      if (tecu.contains(v.sat) && v.direction.elevation_rad > 0.26) {
        const double d_m =
            ionosphere_delay_m(v.slant_tecu - tecu[v.sat], kFirstHz);
        square += d_m * d_m;
        g.most_m = std::max(g.most_m, std::abs(d_m));
        ++count;
      }
    }
  }
  EXPECT_GT(count, 1000);
  g.rms_m = std::sqrt(square / count);
  return g;
}

// kind: cross   source: what owners of short ties meet: about 1 mm/km in quiet
// times, 10 mm/km and more in disturbed ones (common practice, no source)
// tolerance: a factor of two, sizes of a kind of day
TEST(TwoReceivers, IonosphereGrowsApartByMillimetresAKilometre) {
  const Geodetic place = small_world().receivers.front().marker;
  const Gradients quiet = ionosphere_apart(quiet_ionosphere(place), 10e3);
  EXPECT_NEAR(quiet.rms_m, 0.008, 0.005);
  EXPECT_LT(quiet.most_m, 0.05);
  const Gradients wild = ionosphere_apart(disturbed_ionosphere(place), 10e3);
  EXPECT_NEAR(wild.rms_m, 0.08, 0.04);
  EXPECT_GT(wild.most_m, 0.1);
}

// kind: cross   source: a smooth field is straight over a kilometre: a tenth of
// the distance has a tenth of the difference
// tolerance: 5 %, the bend of waves of 110 km over 1 km
TEST(TwoReceivers, IonosphereIsOneFieldOverBoth) {
  const Ionosphere wild =
      disturbed_ionosphere(small_world().receivers.front().marker);
  const double far_m = ionosphere_apart(wild, 1000).rms_m;
  const double near_m = ionosphere_apart(wild, 100).rms_m;
  EXPECT_NEAR(near_m, far_m / 10, 0.05 * far_m / 10);
}

// kind: cross   source: air.h: the scenario's 3 mm at 10 km; with height the
// delay falls to 1/e over 2 km, 15 % more or less
// tolerance: 13 %, four standard deviations of a rms of 500 seeds, and the
// share that the height takes of it
TEST(TwoReceivers, WetDelayDiffersByMillimetresOverTenKilometres) {
  constexpr int kSeeds = 500;
  Scenario s = small_world(only(Effect::kTroposphere));
  const Geodetic first = s.receivers.front().marker;
  Geodetic far = to_geodetic(from_enu({7e3, 7.1e3, 0}, to_ecef(first)));
  far.height_m = first.height_m;
  Geodetic high = first;
  high.height_m += 300;
  double square = 0, ratio = 0, ratio_square = 0;
  for (int seed = 0; seed < kSeeds; ++seed) {
    s.seed = static_cast<std::uint64_t>(seed);
    const double here_m = air_over(s, first, 900).zenith_wet_m;
    square += std::pow(air_over(s, far, 900).zenith_wet_m - here_m, 2) / kSeeds;
    const double up =
        -300 / std::log(air_over(s, high, 900).zenith_wet_m / here_m) / 2000;
    ratio += up / kSeeds;
    ratio_square += up * up / kSeeds;
  }
  EXPECT_NEAR(std::sqrt(square), 0.003, 0.13 * 0.003);
  EXPECT_NEAR(ratio, 1, 0.03);
  EXPECT_NEAR(std::sqrt(ratio_square - ratio * ratio), 0.15, 0.13 * 0.15);
}

// Metres by which a satellite's two first phases are late in one receiver
// against the other, by channel.
std::map<int, double> glonass_phase_m(const Scenario& scenario) {
  const Sky sky(scenario);
  const Both both = observe(scenario, 900);
  std::map<int, double> by_channel;
  for (const SignalTerms& a : both.terms[0].signals) {
    for (const SignalTerms& b : both.terms[1].signals) {
      if (a.sat == b.sat && a.signal == b.signal &&
          a.sat.system == System::kGlonass && a.signal.band == '1') {
        const Satellite& s = *sky.find(a.sat);
        by_channel[*s.channel] = (a.receiver_phase_cyc - b.receiver_phase_cyc) *
                                 kSpeedOfLightMps /
                                 s.find(a.signal)->frequency_hz;
      }
    }
  }
  return by_channel;
}

// From end channel to end channel, rms of many seeds.
double end_to_end_m(Scenario s) {
  constexpr int kSeeds = 60;
  double square = 0;
  for (int seed = 0; seed < kSeeds; ++seed) {
    s.seed = static_cast<std::uint64_t>(seed);
    const std::map<int, double> m = glonass_phase_m(s);
    const double wave_m = kSpeedOfLightMps / 1602e6;
    const double slope = (m.rbegin()->second - m.begin()->second) /
                         (m.rbegin()->first - m.begin()->first);
    EXPECT_LT(std::abs(slope), wave_m);
    square += 13 * 13 * slope * slope / kSeeds;
  }
  return std::sqrt(square);
}

// kind: cross   source: signal_model.cc: 0.03 cycles a channel of a make, 0.001
// of another receiver of it; 13 channels, two makes
// tolerance: a third: rms of 60 seeds, and the wave of the constant part
// (a cycle is 0.3 % shorter at the highest channel)
TEST(TwoReceivers, OfOneMakeHaveNearlyOneGlonassBias) {
  Scenario s =
      with_second(small_world(only(Effect::kReceiverBiases)), {3000, 0, 0});
  EXPECT_LT(end_to_end_m(s), 0.006);
  s.receivers[1].receiver_type = "SPDEMO-R2";
  EXPECT_NEAR(end_to_end_m(s), 13 * 0.03 * 0.187 * 1.414, 0.034);
}

// kind: cross   source: 22 ms of clock are 22 ms of movement: both tags say the
// same, and the ranges differ by the satellites' speeds
// tolerance: 1 ns for the clock; 1 m of 22 ms by up to 800 m/s
TEST(TwoReceivers, ClocksMayBeFarFromEachOther) {
  Scenario s =
      with_second(small_world(only(Effect::kReceiverClock)), {0, 0, 0});
  s.receivers[1].clock_offset_s = 0.022;
  const Both both = observe(s, 900);
  EXPECT_EQ(both.epochs[0].time, both.epochs[1].time);
  EXPECT_NEAR(both.terms[1].clock_s, 0.022, 1e-7);
  EXPECT_NEAR(both.terms[0].true_s - both.terms[1].true_s, 0.022, 1e-6);
  std::map<SatId, SatelliteTerms> here;
  for (const SatelliteTerms& v : both.terms[0].satellites) {
    here[v.sat] = v;
  }
  for (const SatelliteTerms& v : both.terms[1].satellites) {
    if (here.contains(v.sat)) {
      EXPECT_NEAR(
          here[v.sat].range_m - v.range_m, 0.022 * v.range_rate_mps, 1e-3);
    }
  }
}

// kind: cross   source: a clock of this drift is set by a millisecond every
// 100 s
// tolerance: 1 us, jitter and daily pull
TEST(TwoReceivers, ClockDriftsAsTold) {
  Scenario s = small_world(only(Effect::kReceiverClock));
  s.receivers.front().clock = ClockKind::kMillisecond;
  s.receivers.front().clock_drift = 1e-5;
  s.receivers.front().clock_offset_s = -0.005;
  const ReceiverClock clock(s, s.receivers.front(), 0);
  int jumps = 0;
  for (int t_s = 1; t_s <= 1000; ++t_s) {
    const double step_s = clock.at(t_s).offset_s - clock.at(t_s - 1).offset_s;
    jumps += step_s < -5e-4 ? 1 : 0;
    if (step_s > -5e-4) {
      EXPECT_NEAR(step_s, 1e-5, 1e-6);
    }
    EXPECT_LE(std::abs(clock.at(t_s).offset_s + 0.005), 5.001e-4);
  }
  EXPECT_EQ(jumps, 10);
}

// kind: cross   source: the two antennas' tables, towards the zenith: the
// difference of their heights
// tolerance: 1e-12 m, the same numbers
TEST(TwoReceivers, AntennasMayDiffer) {
  Scenario s =
      with_second(small_world(only(Effect::kReceiverAntenna)), {0, 0, 0});
  s.receivers[1].antenna = "SPDEMO-A2       NONE";
  const AzEl up{0, 1.5707963267948966};
  const ReceiverAntenna a = antenna_named(s.receivers[0].antenna);
  const ReceiverAntenna b = antenna_named(s.receivers[1].antenna);
  EXPECT_NEAR(antenna_range_m(band_of(a, kFirstHz), up) -
                  antenna_range_m(band_of(b, kFirstHz), up),
              0.0917 - 0.0663,
              1e-12);
  const Both both = observe(s, 900);
  EXPECT_NE(both.terms[0].signals.front().antenna_m,
            both.terms[1].signals.front().antenna_m);
}

}  // namespace
}  // namespace stillpoint::simulate

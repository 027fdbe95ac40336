#include "stillpoint/simulate/receiver/receiver.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "stillpoint/simulate/simulate_test_support.h"

namespace stillpoint::simulate {
namespace {

using test::only;
using test::small_world;

struct Seen {
  Epoch epoch;
  EpochTerms terms;
};

Seen look(const Scenario& scenario, double t_s) {
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  Seen seen;
  EXPECT_TRUE(receiver.observe(t_s, seen.epoch, &seen.terms));
  return seen;
}

const SatelliteTerms& shared_terms(const EpochTerms& terms, SatId sat) {
  for (const SatelliteTerms& s : terms.satellites) {
    if (s.sat == sat) {
      return s;
    }
  }
  static const SatelliteTerms none;
  ADD_FAILURE() << "no terms of " << sat.text();
  return none;
}

// kind: cross   source: docs/formats/truth.md, the two sums
// tolerance: 1 um and 1e-5 cycles, rounding of 2e7 m and 1e8 cycles
TEST(SimulatedReceiver, ObservationsAreTheSumOfTheirTerms) {
  const Scenario scenario = small_world(EffectSet::all());
  const Sky sky(scenario);
  const Seen seen = look(scenario, 1800);
  std::size_t i = 0;
  for (const SatRows& rows : seen.epoch.satellites) {
    const SatelliteTerms& v = shared_terms(seen.terms, rows.sat);
    for (const Observation& o : seen.epoch.rows(rows)) {
      const SignalTerms& s = seen.terms.signals.at(i++);
      ASSERT_EQ(s.signal, o.signal);
      const double wavelength_m =
          kSpeedOfLightMps / sky.find(rows.sat)->find(o.signal)->frequency_hz;
      const double common = v.range_m + kSpeedOfLightMps * seen.terms.clock_s -
                            v.satellite_clock_m + v.shapiro_m +
                            v.hydrostatic_m + v.wet_m + v.gradient_m +
                            v.satellite_antenna_m + s.antenna_m;
      EXPECT_NEAR(o.code_m,
                  common + s.ionosphere_m + s.satellite_code_m +
                      s.receiver_code_m + s.code_multipath_m + s.code_noise_m,
                  1e-6);
      EXPECT_NEAR(o.phase_cyc,
                  (common - s.ionosphere_m + s.phase_multipath_m +
                   s.phase_noise_m + s.scintillation_m) /
                          wavelength_m +
                      v.wind_up_cyc + s.satellite_phase_cyc +
                      s.receiver_phase_cyc + s.ambiguity_cyc,
                  1e-5);
    }
  }
  EXPECT_EQ(i, seen.epoch.observations.size());
  EXPECT_GT(i, 40U);
}

// kind: cross   source: the light-time equation in axes that do not turn
// tolerance: 10 um, rounding of 4e7 m and of the Earth's rate
TEST(SimulatedReceiver, RangesOfAnEmptyWorldAreGeometry) {
  const Scenario scenario = small_world();
  const Sky sky(scenario);
  const Seen seen = look(scenario, 600);
  const auto turned = [](const Ecef& p, double angle) {
    const double c = std::cos(angle), s = std::sin(angle);
    return Ecef{c * p.x_m - s * p.y_m, s * p.x_m + c * p.y_m, p.z_m};
  };
  for (const SatelliteTerms& v : seen.terms.satellites) {
    const Satellite& sat = *sky.find(v.sat);
    const double flight_s = v.range_m / kSpeedOfLightMps;
    // Axes that coincide with the Earth's at the reception.
    const Ecef sent =
        turned(sat.position(600 - flight_s), -7.292115e-5 * flight_s);
    EXPECT_NEAR(norm(sent - seen.terms.arp_m), v.range_m, 1e-5);
  }
  const Ecef marker = to_ecef(scenario.receivers.front().marker);
  EXPECT_NEAR(norm(seen.terms.arp_m - marker), 0.1, 1e-9);
}

// kind: cross   source: Doppler is the rate of the phase, with the other sign
// tolerance: 1 mm/s on the carrier: the phase's own second difference
TEST(SimulatedReceiver, DopplerIsTheRateOfThePhase) {
  EffectSet effects = only(Effect::kRelativity);
  effects.add(Effect::kReceiverClock);
  Scenario scenario = small_world(effects);
  scenario.receivers.front().clock = ClockKind::kQuartz;
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  std::map<std::pair<SatId, SignalCode>, std::array<double, 3>> phases;
  std::map<std::pair<SatId, SignalCode>, double> doppler;
  for (int k = 0; k < 3; ++k) {
    Epoch epoch;
    ASSERT_TRUE(receiver.observe(300 + k, epoch, nullptr));
    for (const SatRows& rows : epoch.satellites) {
      for (const Observation& o : epoch.rows(rows)) {
        phases[{rows.sat, o.signal}][static_cast<std::size_t>(k)] = o.phase_cyc;
        if (k == 1) {
          doppler[{rows.sat, o.signal}] = o.doppler_hz;
        }
      }
    }
  }
  ASSERT_GT(doppler.size(), 40U);
  for (const auto& [key, hz] : doppler) {
    const auto& p = phases.at(key);
    // Jitter of the clock, 0.1 ns, is 0.16 cycles on L1.
    EXPECT_NEAR(hz, -(p[2] - p[0]) / 2, 0.1)
        << key.first.text() << key.second.text();
  }
}

TEST(SimulatedReceiver, SameSeedGivesTheSameBitsAndAnotherDoesNot) {
  Scenario scenario = small_world(EffectSet::all());
  const Seen first = look(scenario, 900), again = look(scenario, 900);
  ASSERT_EQ(first.epoch.observations.size(), again.epoch.observations.size());
  for (std::size_t i = 0; i < first.epoch.observations.size(); ++i) {
    EXPECT_EQ(first.epoch.observations[i].code_m,
              again.epoch.observations[i].code_m);
    EXPECT_EQ(first.epoch.observations[i].phase_cyc,
              again.epoch.observations[i].phase_cyc);
  }
  scenario.seed = 8;
  const Seen other = look(scenario, 900);
  EXPECT_NE(first.epoch.observations.front().code_m,
            other.epoch.observations.front().code_m);
}

TEST(SimulatedReceiver, OneEffectMoreLeavesTheOthersAsTheyWere) {
  Scenario scenario = small_world(only(Effect::kNoise));
  const Seen alone = look(scenario, 900);
  scenario.effects.add(Effect::kTroposphere);
  const Seen both = look(scenario, 900);
  ASSERT_EQ(alone.terms.signals.size(), both.terms.signals.size());
  for (std::size_t i = 0; i < alone.terms.signals.size(); ++i) {
    EXPECT_EQ(alone.terms.signals[i].code_noise_m,
              both.terms.signals[i].code_noise_m);
  }
}

TEST(SimulatedReceiver, GapHasNoEpochsAndBreaksEveryLock) {
  EffectSet effects = only(Effect::kGaps);
  effects.add(Effect::kSlips);
  Scenario scenario = small_world(effects);
  scenario.receivers.front().gaps.push_back({100, 160});
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  Epoch epoch;
  EXPECT_TRUE(receiver.observe(90, epoch, nullptr));
  EXPECT_FALSE(receiver.observe(120, epoch, nullptr));
  EXPECT_TRUE(epoch.satellites.empty());
  ASSERT_TRUE(receiver.observe(180, epoch, nullptr));
  for (const Observation& o : epoch.observations) {
    EXPECT_EQ(o.lli & 1, 1);
  }
  ASSERT_TRUE(receiver.observe(210, epoch, nullptr));
  for (const Observation& o : epoch.observations) {
    EXPECT_EQ(o.lli & 1, 0);
  }
}

TEST(SimulatedReceiver, TableSlipMovesOneSignalByItsCycles) {
  Scenario scenario = small_world(only(Effect::kSlips));
  const Seen at_first = look(scenario, 900);
  const SatId sat = at_first.epoch.satellites.front().sat;
  scenario.receivers.front().slips.push_back({915, sat, "1", 5});
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  Seen before, after;
  receiver.observe(900, before.epoch, &before.terms);
  receiver.observe(930, after.epoch, &after.terms);
  int slipped = 0;
  for (const SignalTerms& s : after.terms.signals) {
    slipped += s.slipped ? 1 : 0;
    if (s.slipped) {
      EXPECT_EQ(s.sat, sat);
      EXPECT_EQ(s.signal.band, '1');
    }
  }
  EXPECT_EQ(slipped, 1);
  EXPECT_EQ(after.terms.signals.front().ambiguity_cyc -
                before.terms.signals.front().ambiguity_cyc,
            5);
  EXPECT_EQ(after.epoch.observations.front().lli & 1, 1);
}

TEST(SimulatedReceiver, JammerTakesItsBandAndLeavesTheOthers) {
  EffectSet effects = only(Effect::kJamming);
  Scenario scenario = small_world(effects);
  scenario.jammers.push_back({600, 700, "1", 40, false});
  const Seen clear = look(scenario, 590), jammed = look(scenario, 650);
  const auto count = [](const Seen& seen, char band) {
    int n = 0;
    for (const Observation& o : seen.epoch.observations) {
      n += o.signal.band == band ? 1 : 0;
    }
    return n;
  };
  EXPECT_GT(count(clear, '1'), 15);
  EXPECT_EQ(count(jammed, '1'), 0);
  EXPECT_EQ(count(jammed, '5'), count(clear, '5'));
}

TEST(SimulatedReceiver, NothingIsSeenBehindTheSkyline) {
  Scenario scenario = small_world(only(Effect::kSkyline));
  scenario.receivers.front().skyline = {{0.0, 0.3}, {3.0, 0.3}};
  const Seen seen = look(scenario, 900);
  ASSERT_GT(seen.terms.satellites.size(), 5U);
  for (const SatelliteTerms& s : seen.terms.satellites) {
    EXPECT_GT(s.direction.elevation_rad, 0.3 - 1e-4);
  }
}

// kind: cross   source: the scenario's table; a move of the antenna is a move
// of the reference point
// tolerance: 1 um
TEST(SimulatedReceiver, MovesAreWhereTheTableSays) {
  Scenario scenario = small_world(only(Effect::kMotion));
  scenario.receivers.front().moves.push_back({600, 100, {0.01, -0.02, 0.03}});
  const Seen before = look(scenario, 500), half = look(scenario, 650),
             after = look(scenario, 1000);
  const Enu d = to_enu(after.terms.arp_m, before.terms.arp_m);
  EXPECT_NEAR(d.e_m, 0.01, 1e-6);
  EXPECT_NEAR(d.n_m, -0.02, 1e-6);
  EXPECT_NEAR(d.u_m, 0.03, 1e-6);
  EXPECT_NEAR(half.terms.moved_m.u_m, 0.015, 1e-9);
}

// kind: cross   source: half-cycle flags come with every lock and go away
// tolerance: 0.01 cycles: satellites and receiver move on within the second
TEST(SimulatedReceiver, HalfCyclesAreOpenAfterALockAndSayWhenTheyClose) {
  EffectSet effects = only(Effect::kHalfCycles);
  Scenario scenario = small_world(effects);
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  Epoch epoch;
  EpochTerms terms;
  int closed_with_half = 0, halves = 0;
  for (int t = 0; t < 12; ++t) {
    ASSERT_TRUE(receiver.observe(t, epoch, &terms));
    for (std::size_t i = 0; i < epoch.observations.size(); ++i) {
      const bool open = (epoch.observations[i].lli & 2) != 0;
      const double n = terms.signals[i].ambiguity_cyc;
      EXPECT_EQ(open, t < 6);
      halves += t == 0 && n != std::round(n) ? 1 : 0;
      closed_with_half +=
          t == 6 && (epoch.observations[i].lli & 1) != 0 ? 1 : 0;
      if (t >= 6) {
        EXPECT_EQ(n, std::round(n));
      }
    }
  }
  EXPECT_GT(halves, 10);
  EXPECT_EQ(closed_with_half, halves);
}

// A plane through the antenna itself: its ray has no way to go, so that the
// error of the phase is that of the turn at the reflection alone.
double error_of_a_turn_m(Scenario& scenario, int seed, bool by_seed) {
  Reflector reflector;
  reflector.plane.normal_elev_rad = 1.5707963267948966;
  reflector.plane.coefficient = 0.2;
  reflector.phase_by_seed = by_seed;
  scenario.receivers.front().reflectors = {reflector};
  scenario.seed = static_cast<std::uint64_t>(seed);
  return look(scenario, 900).terms.signals.front().phase_multipath_m;
}

// kind: cross   source: a turn that is as likely as its opposite has no mean
// tolerance: four standard deviations of the mean of 60 seeds, by their spread;
// a turn of half a cycle makes no error of the phase at all
TEST(SimulatedReceiver, ReflectionsTurnBySeedWhereTheScenarioDoesNotSay) {
  Scenario scenario = small_world(only(Effect::kMultipath));
  scenario.sky.systems = "G";
  constexpr int kSeeds = 60;
  double sum = 0, squares = 0;
  for (int seed = 1; seed <= kSeeds; ++seed) {
    const double m = error_of_a_turn_m(scenario, seed, true);
    sum += m / kSeeds;
    squares += m * m / kSeeds;
    EXPECT_NEAR(error_of_a_turn_m(scenario, seed, false), 0, 1e-12);
  }
  EXPECT_GT(std::sqrt(squares), 1e-4);
  EXPECT_NEAR(sum, 0, 4 * std::sqrt(squares / kSeeds));
}

}  // namespace
}  // namespace stillpoint::simulate

#include "stillpoint/quality/signal_statistics.h"

#include <gtest/gtest.h>

#include <functional>
#include <numbers>

#include "stillpoint/quality/signals_test_support.h"

namespace stillpoint::quality {
namespace {

constexpr SatId kG03{System::kGps, 3}, kG04{System::kGps, 4},
    kE05{System::kGalileo, 5};
const SignalCode k1C{'1', 'C'}, k2W{'2', 'W'}, k1W{'1', 'W'}, k5Q{'5', 'Q'};

GnssTime after(double s) {
  return kSessionStart + Duration{s};
}

// Changes the two signals of a satellite before they are observed.
using Change = std::function<void(double, MadeSignal&, MadeSignal&)>;

Epoch made(double t_s,
           const std::vector<SatId>& satellites,
           const Change& change = {}) {
  Epoch epoch;
  epoch.time = after(t_s);
  for (const SatId sat : satellites) {
    const bool gps = sat.system == System::kGps;
    MadeSignal first{.code = k1C}, second{.code = gps ? k2W : k5Q};
    if (change) {
      change(t_s, first, second);
    }
    const double range_m = 2.3e7 + 300 * t_s;
    const double ionosphere_m = 5 + 4e-4 * t_s;
    append(epoch,
           sat,
           {observe(sat.system, first, range_m, ionosphere_m),
            observe(sat.system, second, range_m, ionosphere_m)});
  }
  return epoch;
}

const SignalFigures& figures(const SignalReport& report,
                             System system,
                             SignalCode code) {
  for (const SignalFigures& f : report.signals) {
    if (f.id == SignalId{system, code}) {
      return f;
    }
  }
  ADD_FAILURE() << "no signal " << code.text();
  return report.signals.front();
}

FixedSky sky_of(const std::map<SatId, double>& elevation_deg) {
  FixedSky sky;
  for (const auto& [sat, deg] : elevation_deg) {
    sky.elevation_rad[sat] = rad(deg);
  }
  return sky;
}

// kind: cross
// tolerance: RMS 2 mm and correlation 0.05: 6 h are 36 periods of 600 s of the
// sine, whole ones; rounding and the pairs missing at the end are left
TEST(SignalStatistics, InjectedMultipathComesBackAtItsElevation) {
  const FixedSky sky = sky_of({{kG03, 25}});
  SignalStatistics statistics;
  for (int t = 0; t < 21'600; t += 30) {
    statistics.add(made(t,
                        {kG03},
                        [](double at_s, MadeSignal& first, MadeSignal&) {
                          first.multipath_m =
                              0.5 * std::sin(2 * std::numbers::pi * at_s / 600);
                        }),
                   kAntenna,
                   sky);
  }
  const SignalReport report = statistics.report();
  const auto& l1 = figures(report, System::kGps, k1C);
  EXPECT_EQ(l1.multipath.arcs, 1U);
  EXPECT_EQ(l1.multipath.by_elevation[2].count, 720U);
  EXPECT_NEAR(l1.multipath.by_elevation[2].rms(), 0.5 / std::sqrt(2), 2e-3);
  EXPECT_NEAR(l1.multipath.correlation()[0],
              std::cos(2 * std::numbers::pi * 30 / 600),
              0.05);
  const auto& l2 = figures(report, System::kGps, k2W);
  EXPECT_NEAR(l2.multipath.total().rms(), 0, 2e-3);
  // It changes in 30 s, so that it is in the noise as well: the third
  // difference of a sine is (2 sin(w/2))^3 of it.
  const double third = std::pow(2 * std::sin(std::numbers::pi * 30 / 600), 3);
  EXPECT_NEAR(
      l1.noise.total().rms(), 0.5 / std::sqrt(2) * third / std::sqrt(20), 2e-3);
}

// kind: cross
// tolerance: 4 sigma: RMS of n third differences sqrt(2 * 2.31 / n) / 2, of n
// values 1 / sqrt(2 n); the phases' 1 mm is 2 mm in the noise of a code
TEST(SignalStatistics, InjectedNoiseComesBackOnBothBands) {
  const FixedSky sky = sky_of({{kG03, 45}, {kE05, 75}});
  SignalStatistics statistics;
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  const int n = 2880;
  for (int i = 0; i < n; ++i) {
    statistics.add(made(30.0 * i,
                        {kG03, kE05},
                        [&](double, MadeSignal& first, MadeSignal& second) {
                          first.noise_m = 0.3 * normal(random);
                          second.noise_m = 0.15 * normal(random);
                          first.phase_noise_m = 0.001 * normal(random);
                          second.phase_noise_m = 0.001 * normal(random);
                        }),
                   kAntenna,
                   sky);
  }
  const SignalReport report = statistics.report();
  const double differences = 4 * std::sqrt(2 * 2.31 / n) / 2;
  const double values = 4 / std::sqrt(2.0 * n);
  const auto& g1 = figures(report, System::kGps, k1C);
  const auto& e5 = figures(report, System::kGalileo, k5Q);
  EXPECT_NEAR(g1.noise.by_elevation[4].rms() / 0.3, 1, differences);
  EXPECT_NEAR(e5.noise.by_elevation[7].rms() / 0.15, 1, differences);
  EXPECT_NEAR(g1.multipath.total().rms() / 0.3, 1, values);
  EXPECT_NEAR(e5.multipath.total().rms() / 0.15, 1, values);
  EXPECT_NEAR(g1.multipath.correlation()[0], 0, 4 / std::sqrt(n));
  EXPECT_EQ(g1.slips.slips, 0U);
  EXPECT_FALSE(g1.slips.observations_per_slip());
}

// kind: cross
// tolerance: none, counts; 1e-12 for a ratio
TEST(SignalStatistics, SlipsAreCountedBySignalAndEndTheArcs) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  double first_cycles = 0;
  for (int i = 0; i < 400; ++i) {
    statistics.add(made(30.0 * i,
                        {kG03},
                        [&](double, MadeSignal& first, MadeSignal& second) {
                          first_cycles += i == 100 || i == 200 ? 7 : 0;
                          first.cycles = first_cycles;
                          second.cycles = i < 300 ? 0 : 2;
                          second.lli = i == 300 ? 1 : i == 350 ? 2 : 0;
                        }),
                   kAntenna,
                   sky);
  }
  const SignalReport report = statistics.report();
  const auto& l1 = figures(report, System::kGps, k1C);
  const auto& l2 = figures(report, System::kGps, k2W);
  EXPECT_EQ(l1.slips.phases, 400U);
  EXPECT_EQ(l1.slips.slips, 2U);
  EXPECT_EQ(l1.slips.flagged, 0U);
  EXPECT_EQ(l2.slips.slips, 1U);
  EXPECT_EQ(l2.slips.flagged, 1U);
  EXPECT_EQ(l2.slips.flags, 1U);
  EXPECT_EQ(l2.slips.half_cycles, 1U);
  EXPECT_EQ(l1.multipath.arcs, 4U);
  EXPECT_EQ(l2.multipath.arcs, 4U);
  EXPECT_NEAR(l1.slips.observations_per_slip().value_or(0), 200, 1e-12);
  // Neither the arcs nor the noise saw the slips.
  EXPECT_NEAR(l1.multipath.total().rms(), 0, 1e-3);
  EXPECT_NEAR(l1.noise.total().rms(), 0, 1e-3);
}

TEST(SignalStatistics, WhatIsMissingIsMissingInTheCompleteness) {
  const FixedSky sky = sky_of({{kG03, 45}, {kG04, 12}, {kE05, 5}});
  SignalStatistics statistics;
  for (int i = 0; i < 1000; ++i) {
    if (i >= 500 && i < 600) {
      continue;  // the receiver was off
    }
    std::vector<SatId> satellites{kG03};
    if (i >= 800) {
      satellites.push_back(kG04);
    }
    if (i < 100) {
      satellites.push_back(kE05);
    }
    statistics.add(made(30.0 * i, satellites), kAntenna, sky);
  }
  const SignalReport report = statistics.report();
  EXPECT_EQ(report.epochs, 900U);
  EXPECT_EQ(report.missed, 100U);
  EXPECT_EQ(report.interval_s, 30.0);
  ASSERT_EQ(report.systems.size(), 2U);
  const SystemFigures& gps = report.systems[0];
  EXPECT_EQ(gps.satellites_expected, 2);
  EXPECT_EQ(gps.satellites_seen, 2);
  EXPECT_EQ(gps.completeness.expected, 2000U);
  EXPECT_EQ(gps.completeness.received, 900U + 200U);
  EXPECT_EQ(gps.two_bands.received, 900U + 200U);
  const auto& l1 = figures(report, System::kGps, k1C);
  EXPECT_EQ(l1.completeness.expected, 2000U);
  EXPECT_EQ(l1.completeness.received, 1100U);
  // Below ten degrees nothing is expected, nor counted as received.
  EXPECT_EQ(report.systems[1].completeness.expected, 0U);
  EXPECT_EQ(report.systems[1].completeness.received, 0U);
  const auto& e1 = figures(report, System::kGalileo, k1C);
  EXPECT_EQ(e1.completeness.received, 0U);
  EXPECT_EQ(e1.slips.phases, 100U);
  EXPECT_FALSE(report.systems[1].completeness.share());
}

TEST(SignalStatistics, GapOfADayAtTenHertzIsCountedWhole) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  for (const double t : {0.0, 0.1, 0.2, 0.3, 0.4, 80'000.4}) {
    statistics.add(made(t, {kG03}), kAntenna, sky);
  }
  const SignalReport report = statistics.report();
  EXPECT_EQ(report.missed, 799'999U);
  EXPECT_EQ(report.systems[0].completeness.expected, 6U + 799'999U);
}

TEST(SignalStatistics, StrengthGoesToTheElevationOfItsSatellite) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  statistics.add(made(0,
                      {kG03, kG04},
                      [](double, MadeSignal& first, MadeSignal&) {
                        first.cn0_dbhz = 38.5;
                      }),
                 kAntenna,
                 sky);
  const auto report = statistics.report();
  const auto& l1 = figures(report, System::kGps, k1C);
  EXPECT_EQ(l1.satellites, 2);
  EXPECT_EQ(l1.strength[4].count, 1U);
  EXPECT_EQ(l1.strength[4].mean_dbhz, 38.5);
  EXPECT_EQ(l1.strength[kUnknownElevation].count, 1U);
}

// kind: cross
// tolerance: 1e-3 m: nothing was injected
TEST(SignalStatistics, ACodeWithoutPhaseGoesWithTheOneOfItsBand) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  for (int i = 0; i < 100; ++i) {
    Epoch epoch;
    epoch.time = after(30.0 * i);
    Observation bare = observe(System::kGps, {.code = k1W}, 2.3e7 + 3 * i, 5);
    bare.phase_cyc = kMissing;
    append(epoch,
           kG03,
           {observe(System::kGps, {.code = k1C}, 2.3e7 + 3 * i, 5),
            bare,
            observe(System::kGps, {.code = k2W}, 2.3e7 + 3 * i, 5)});
    statistics.add(epoch, kAntenna, sky);
  }
  const auto report = statistics.report();
  const auto& bare = figures(report, System::kGps, k1W);
  EXPECT_EQ(bare.slips.phases, 0U);
  EXPECT_EQ(bare.completeness.received, 100U);
  EXPECT_EQ(bare.multipath.arcs, 1U);
  EXPECT_NEAR(bare.multipath.total().rms(), 0, 1e-3);
  EXPECT_EQ(bare.noise.total().count, 97U);
}

TEST(SignalStatistics, ReportDoesNotEndTheArcsThatGoOn) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  for (int i = 0; i < 100; ++i) {
    statistics.add(made(30.0 * i, {kG03}), kAntenna, sky);
    if (i == 50) {
      EXPECT_EQ(figures(statistics.report(), System::kGps, k1C).multipath.arcs,
                1U);
    }
  }
  const auto report = statistics.report();
  EXPECT_EQ(figures(report, System::kGps, k1C).multipath.arcs, 1U);
  EXPECT_EQ(figures(report, System::kGps, k1C).multipath.total().count, 100U);
}

TEST(SignalStatistics, ReceiverThatWasOffBeginsAnewWithoutSlips) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  for (int i = 0; i < 100; ++i) {
    Epoch epoch =
        made(30.0 * i, {kG03}, [&](double, MadeSignal& first, MadeSignal&) {
          first.cycles = i < 50 ? 0 : 1e6;
        });
    epoch.flag = i == 50 ? EpochFlag::kPowerFailure : EpochFlag::kOk;
    statistics.add(epoch, kAntenna, sky);
  }
  const auto report = statistics.report();
  EXPECT_EQ(figures(report, System::kGps, k1C).slips.slips, 0U);
  EXPECT_EQ(figures(report, System::kGps, k1C).multipath.arcs, 2U);
}

TEST(SignalStatistics, DoubledEpochsAndUnknownSignalsAreLeftOut) {
  const FixedSky sky = sky_of({{kG03, 45}});
  SignalStatistics statistics;
  Epoch epoch = made(0, {kG03});
  epoch.observations[0].signal = {'9', '9'};
  statistics.add(epoch, kAntenna, sky);
  statistics.add(epoch, kAntenna, sky);
  Epoch strange = made(30, {SatId{System::kNavic, 0}, kG03, kG03});
  strange.satellites[0].sat.number = 255;
  statistics.add(strange, kAntenna, sky);
  const auto report = statistics.report();
  EXPECT_EQ(report.epochs, 2U);
  EXPECT_EQ(report.left_out, 1U);
  EXPECT_EQ(figures(report, System::kGps, k2W).slips.phases, 2U);
  EXPECT_EQ(figures(report, System::kGps, k1C).slips.phases, 1U);
}

TEST(SignalStatistics, NothingGivesAnEmptyReport) {
  const SignalReport report = SignalStatistics().report();
  EXPECT_EQ(report.epochs, 0U);
  EXPECT_FALSE(report.first);
  EXPECT_TRUE(report.signals.empty());
  EXPECT_TRUE(report.systems.empty());
}

}  // namespace
}  // namespace stillpoint::quality

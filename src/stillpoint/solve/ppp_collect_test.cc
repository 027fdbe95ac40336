#include "stillpoint/solve/ppp_collect.h"

#include <gtest/gtest.h>

#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::gps;
using test::Scene;
using test::SceneOrbits;

// One GPS satellite with the given signals, phases of 1e8 cycles and more.
Epoch epoch_of(std::initializer_list<SignalCode> signals) {
  Epoch epoch;
  epoch.time = GnssTime::from_gps_week(2300, 0);
  epoch.satellites.push_back(
      {gps(7), static_cast<std::uint16_t>(signals.size()), 0});
  for (const SignalCode signal : signals) {
    Observation o;
    o.signal = signal;
    o.code_m = 2.2e7;
    o.phase_cyc = 1e8 + static_cast<double>(epoch.observations.size());
    o.cn0_dbhz = 40 + static_cast<double>(epoch.observations.size());
    epoch.observations.push_back(o);
  }
  return epoch;
}

struct Collected {
  PppSession session;
  Counts counts;
  explicit Collected(const Epoch& epoch, const PppOptions& options = {}) {
    collect(epoch, SceneOrbits(), options, session, counts);
  }
  [[nodiscard]] int excluded(Exclusion why) const {
    const auto found = counts.excluded.find(gps(7));
    return found == counts.excluded.end()
               ? 0
               : found->second[static_cast<std::size_t>(why)];
  }
};

// kind: cross   wavelengths are the speed of light over the carriers of RINEX
// 4.02; the combination's weight is f1^2 / (f1^2 - f2^2) = 2.5457.
// tolerance: 1e-7 m, roundings of 2e7 m; 1e-12 of the weight
TEST(PppCollect, RowHoldsMetresOfBothFrequencies) {
  const Collected c(epoch_of({{'1', 'C'}, {'1', 'W'}, {'2', 'W'}}));
  ASSERT_EQ(c.session.rows.size(), 1U);
  const PppRow& r = c.session.rows[0];
  EXPECT_EQ(r.sat, gps(7));
  // Codes as the clocks refer to, phases by their own order.
  EXPECT_EQ(r.code_first, (SignalCode{'1', 'W'}));
  EXPECT_EQ(r.code_second, (SignalCode{'2', 'W'}));
  EXPECT_EQ(r.phase_first, (SignalCode{'1', 'C'}));
  EXPECT_EQ(r.phase_second, (SignalCode{'2', 'W'}));
  EXPECT_NEAR(r.phase_first_m, 1e8 * test::kFirstM, 1e-7);
  EXPECT_NEAR(r.phase_second_m, (1e8 + 2) * test::kSecondM, 1e-7);
  EXPECT_NEAR(r.weight_first,
              1575.42 * 1575.42 / (1575.42 * 1575.42 - 1227.60 * 1227.60),
              1e-12);
  EXPECT_EQ(r.cn0_dbhz, 40);  // the weaker one
}

// kind: cross   whole cycles of the wide lane (n1 - n2 of them) and the
// wavelengths of GPS; a turn moves both phases by one cycle, together the
// combination by 10.7 cm, the wavelength of f1 + f2.
// tolerance: 1e-6 cycles, roundings of 2e7 m; 1e-12 m
TEST(PppRow, CombinationsAreThoseOfTheirNames) {
  PppRow r = Collected(epoch_of({{'1', 'W'}, {'2', 'W'}})).session.rows[0];
  const double before = r.wide_lane_cyc(), flat_m = r.geometry_free_m();
  r.phase_first_m += 5 * test::kFirstM;
  r.phase_second_m += 3 * test::kSecondM;
  EXPECT_NEAR(r.wide_lane_cyc() - before, 2, 1e-6);
  EXPECT_NEAR(r.geometry_free_m() - flat_m,
              5 * test::kFirstM - 3 * test::kSecondM,
              1e-7);
  EXPECT_NEAR(
      r.turn_m(), kSpeedOfLightMps / (test::kFirstHz + test::kSecondHz), 1e-12);
  // Range, ionosphere-free: all four alike leave the wide lane as it is.
  const double at = r.wide_lane_cyc();
  r.phase_first_m += 1000;
  r.phase_second_m += 1000;
  r.code_first_m += 1000;
  r.code_second_m += 1000;
  EXPECT_NEAR(r.wide_lane_cyc(), at, 1e-6);
}

TEST(PppCollect, PhasesKeepTheirSignalWhateverTheCodesAre) {
  Epoch epoch = epoch_of({{'1', 'C'}, {'1', 'W'}, {'2', 'W'}, {'2', 'L'}});
  epoch.observations[1].code_m = kMissing;
  const Collected c(epoch);
  ASSERT_EQ(c.session.rows.size(), 1U);
  EXPECT_EQ(c.session.rows[0].phase_first, (SignalCode{'1', 'C'}));
  EXPECT_EQ(c.session.rows[0].phase_second, (SignalCode{'2', 'W'}));
  EXPECT_EQ(c.session.rows[0].code_first, (SignalCode{'1', 'C'}));
}

TEST(PppCollect, LeavesOutWhatLacksAPhaseOrAFrequency) {
  const Collected one(epoch_of({{'1', 'C'}}));
  EXPECT_TRUE(one.session.rows.empty());
  EXPECT_EQ(one.excluded(Exclusion::kNoSignalPair), 1);
  EXPECT_EQ(one.counts.epochs_seen, 1);
  ASSERT_EQ(one.session.epochs.size(), 1U);
  EXPECT_EQ(one.session.epochs[0].count, 0U);

  Epoch epoch = epoch_of({{'1', 'W'}, {'2', 'W'}});
  epoch.observations[1].phase_cyc = kMissing;
  const Collected mute(epoch);
  EXPECT_TRUE(mute.session.rows.empty());
  EXPECT_EQ(mute.excluded(Exclusion::kNoSignalPair), 1);

  PppOptions options;
  options.systems.remove(System::kGps);
  const Collected off(epoch_of({{'1', 'W'}, {'2', 'W'}}), options);
  EXPECT_TRUE(off.session.rows.empty());
  EXPECT_EQ(off.excluded(Exclusion::kSystemOff), 1);
}

TEST(PppCollect, LostLockAndPowerAreKept) {
  Epoch epoch = epoch_of({{'1', 'W'}, {'2', 'W'}});
  EXPECT_EQ(Collected(epoch).session.rows[0].lli, 0);
  epoch.observations[1].lli = 1;
  EXPECT_EQ(Collected(epoch).session.rows[0].lli, 1);
  epoch.observations[1].lli = 0;
  epoch.flag = EpochFlag::kPowerFailure;
  EXPECT_EQ(Collected(epoch).session.rows[0].lli, 1);
}

TEST(PppCollect, ThinKeepsEverySecondEpochWhole) {
  PppSession all;
  test::observe(Scene(), 0, 41, all);
  PppSession half = all;
  thin(half);
  ASSERT_EQ(half.epochs.size(), 21U);
  std::size_t rows = 0;
  for (std::size_t k = 0; k < half.epochs.size(); ++k) {
    const PppEpoch& kept = half.epochs[k];
    const PppEpoch& was = all.epochs[2 * k];
    EXPECT_EQ(kept.time, was.time);
    ASSERT_EQ(kept.count, was.count);
    for (std::uint32_t i = 0; i < kept.count; ++i) {
      const PppRow& a = half.rows[kept.first + i];
      const PppRow& b = all.rows[was.first + i];
      EXPECT_EQ(a.sat, b.sat);
      EXPECT_EQ(a.phase_first_m, b.phase_first_m);
    }
    rows += kept.count;
  }
  EXPECT_EQ(half.rows.size(), rows);
}

TEST(PppCollect, UsualIntervalIsTheMedianStep) {
  PppSession session;
  EXPECT_EQ(usual_interval_s(session), 30);
  test::observe(Scene{.step_s = 15}, 0, 10, session);
  test::observe(Scene{.step_s = 15}, 400, 403, session);  // a long gap
  EXPECT_EQ(usual_interval_s(session), 15);
}

}  // namespace
}  // namespace stillpoint::solve

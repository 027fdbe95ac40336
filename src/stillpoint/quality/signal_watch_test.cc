#include "stillpoint/quality/signal_watch.h"

#include <gtest/gtest.h>

#include "stillpoint/quality/quality_test_support.h"

namespace stillpoint::quality {
namespace {

const std::size_t kGps = static_cast<std::size_t>(System::kGps);
const std::size_t kGalileo = static_cast<std::size_t>(System::kGalileo);

void feed(SignalWatch& watch, const Epoch& epoch) {
  watch.add(epoch, epoch.time);
}

// The row of a minute, summed over its parts; count 0 where there is none.
MinuteRow joined(const std::vector<MinuteRow>& rows,
                 const std::string& name,
                 GnssTime minute) {
  MinuteRow all{.name = name, .minute = minute};
  for (const MinuteRow& row : rows) {
    if (row.name == name && row.minute == minute) {
      all.min = all.count == 0 ? row.min : std::min(all.min, row.min);
      all.max = all.count == 0 ? row.max : std::max(all.max, row.max);
      all.count += row.count;
      all.sum += row.sum;
    }
  }
  return all;
}

TEST(SignalWatch, CountsBySystemAndSignal) {
  SignalWatch watch;
  feed(watch,
       epoch_of(0, {{kG07, "1C", 45}, {kG07, "2W", 30}, {kE11, "1C", 40}}));
  feed(watch,
       epoch_of(1, {{kG07, "1C", 43, 1}, {kG08, "1C", 35}, {kE11, "1C", 41}}));
  const SignalSnapshot s = watch.snapshot(at(1.5));
  EXPECT_EQ(s.satellites[kGps], 2);
  EXPECT_EQ(s.satellites[kGalileo], 1);
  EXPECT_EQ(s.age_s, 0.5);
  ASSERT_EQ(s.signals.size(), 3U);
  const SignalState& l1 = s.signals[0];
  EXPECT_EQ(l1.system, System::kGps);
  EXPECT_EQ(l1.signal, (SignalCode{'1', 'C'}));
  EXPECT_EQ(l1.observations, 3U);
  EXPECT_EQ(l1.satellites, 2);
  EXPECT_EQ(l1.slips, 1U);
  EXPECT_TRUE(l1.has_phase);
  EXPECT_EQ(l1.cn0_mean_dbhz, 41);
  EXPECT_EQ(l1.cn0_min_dbhz, 35);
  EXPECT_EQ(s.signals[1].observations, 1U);
  EXPECT_EQ(s.signals[1].satellites, 0);  // not in the last epoch
  EXPECT_EQ(s.signals[2].system, System::kGalileo);
  EXPECT_EQ(s.signals[2].slips, 0U);
}

TEST(SignalWatch, ALostLockCountsWithAPhaseOnly) {
  SignalWatch watch;
  Epoch epoch = epoch_of(0, {{kG07, "1C", 45, 1}});
  epoch.observations[0].phase_cyc = kMissing;
  epoch.observations[0].code_m = 2e7;
  feed(watch, epoch);
  EXPECT_EQ(watch.snapshot(at(0)).signals[0].slips, 0U);
  EXPECT_FALSE(watch.snapshot(at(0)).signals[0].has_phase);
  // An open half cycle is no slip.
  feed(watch, epoch_of(1, {{kG07, "1C", 45, 2}}));
  EXPECT_EQ(watch.snapshot(at(1)).signals[0].slips, 0U);
}

TEST(SignalWatch, StrengthIsThatOfTheLastMinute) {
  SignalWatch watch;
  feed(watch, epoch_of(0, {{kG07, "1C", 20}}));
  feed(watch, epoch_of(30, {{kG07, "1C", 40}}));
  feed(watch, epoch_of(59, {{kG07, "1C", 44}}));
  EXPECT_EQ(watch.snapshot(at(59)).signals[0].cn0_min_dbhz, 20);
  feed(watch, epoch_of(60, {{kG07, "1C", kMissing}}));
  EXPECT_EQ(watch.snapshot(at(60)).signals[0].cn0_mean_dbhz, 42);
  EXPECT_EQ(watch.snapshot(at(60)).signals[0].cn0_min_dbhz, 40);
}

TEST(SignalWatch, AfterAMinuteOfSilenceNothingIsTracked) {
  SignalWatch watch;
  feed(watch, epoch_of(0, {{kG07, "1C", 45}}));
  EXPECT_EQ(watch.snapshot(at(60)).satellites[kGps], 1);
  const SignalSnapshot s = watch.snapshot(at(61));
  EXPECT_EQ(s.age_s, 61);
  EXPECT_EQ(s.satellites[kGps], 0);
  EXPECT_EQ(s.signals[0].satellites, 0);
  EXPECT_FALSE(s.signals[0].cn0_mean_dbhz);
  EXPECT_EQ(s.signals[0].observations, 1U);
}

TEST(SignalWatch, ADoubledEpochIsNotCountedTwice) {
  SignalWatch watch;
  feed(watch, epoch_of(0, {{kG07, "1C", 45}}));
  feed(watch, epoch_of(0, {{kG07, "1C", 45}, {kG08, "1C", 45}}));
  const SignalSnapshot s = watch.snapshot(at(0));
  EXPECT_EQ(s.signals[0].observations, 1U);
  EXPECT_EQ(s.satellites[kGps], 1);
  EXPECT_EQ(s.epochs.doubled, 1U);
}

TEST(SignalWatch, SignalsThatNoTableListsAreLeftOut) {
  SignalWatch watch;
  for (int code = 1; code < 256; ++code) {
    const char signal[] = {static_cast<char>(code), 'C'};
    feed(watch, epoch_of(code, {{kG07, signal, 45}}));
  }
  for (const SignalState& state : watch.snapshot(at(256)).signals) {
    EXPECT_TRUE(is_known_signal(state.system, state.signal));
  }
}

TEST(SignalWatch, MinutesHoldEverySampleOnce) {
  SignalWatch watch;
  std::vector<MinuteRow> rows;
  for (int t = 0; t < 90; ++t) {  // 10 s, a whole minute, 20 s
    feed(watch,
         epoch_of(t,
                  {{kG07, "1C", 40.0 + t % 2, t % 30 == 0 ? 1 : 0},
                   {kG08, "1C", 50}}));
    for (MinuteRow& row : watch.take_minutes(at(t))) {
      rows.push_back(std::move(row));
    }
  }
  const GnssTime minute = minute_of(at(10));
  const MinuteRow epochs = joined(rows, "epochs_received_count", minute);
  EXPECT_EQ(epochs.count, 60);
  EXPECT_EQ(epochs.sum, 60);
  const MinuteRow satellites = joined(rows, "satellites_count.G", minute);
  EXPECT_EQ(satellites.count, 60);
  EXPECT_EQ(satellites.sum, 120);
  EXPECT_EQ(satellites.min, 2);
  // Means of an epoch: 45 and 45.5 in turn.
  const MinuteRow cn0 = joined(rows, "cn0_mean_dbhz.G.1C", minute);
  EXPECT_EQ(cn0.count, 60);
  EXPECT_EQ(cn0.min, 45);
  EXPECT_EQ(cn0.max, 45.5);
  EXPECT_EQ(cn0.sum, 60 * 45.25);
  const MinuteRow slips = joined(rows, "slips_count.G.1C", minute);
  EXPECT_EQ(slips.count, 60);
  EXPECT_EQ(slips.sum, 2);  // at 30 and 60
  EXPECT_EQ(slips.max, 1);
  EXPECT_EQ(joined(rows, "epochs_received_count", minute_of(at(0))).count, 10);
  // The rest is in work still.
  EXPECT_EQ(joined(rows, "epochs_received_count", minute_of(at(70))).count, 0);
}

TEST(SignalWatch, ASystemThatVanishesCountsZeroSatellites) {
  SignalWatch watch;
  feed(watch, epoch_of(0, {{kG07, "1C", 45}, {kE11, "1C", 45}}));
  feed(watch, epoch_of(1, {{kG07, "1C", 45}}));
  const auto rows = watch.take_minutes(at(100));
  const MinuteRow row = joined(rows, "satellites_count.E", minute_of(at(0)));
  EXPECT_EQ(row.count, 2);
  EXPECT_EQ(row.sum, 1);
  EXPECT_EQ(row.min, 0);
  EXPECT_EQ(joined(rows, "slips_count.E.1C", minute_of(at(0))).count, 1);
}

TEST(SignalWatch, MissedEpochsStandInTheMinuteWhereTheyShouldHaveBeen) {
  SignalWatch watch;
  for (int t = 0; t < 5; ++t) {
    feed(watch, epoch_of(t, {{kG07, "1C", 45}}));
  }
  feed(watch, epoch_of(145, {{kG07, "1C", 45}}));  // 5 … 144 are missing
  const auto rows = watch.take_minutes(at(1000));
  const auto missed = [&](double t_s) {
    return joined(rows, "epochs_missed_count", minute_of(at(t_s)));
  };
  EXPECT_EQ(missed(0).sum, 5);    // 5 … 9
  EXPECT_EQ(missed(10).sum, 60);  // 10 … 69
  EXPECT_EQ(missed(70).sum, 60);
  EXPECT_EQ(missed(130).sum, 15);  // 130 … 144
  EXPECT_EQ(missed(130).count, 15);
  EXPECT_EQ(missed(130).max, 1);
  EXPECT_EQ(watch.snapshot(at(145)).epochs.missed, 140U);
}

TEST(SignalWatch, AnotherWeekMovesEverything) {
  SignalWatch watch;
  for (int t = 0; t < 5; ++t) {
    feed(watch, epoch_of(t, {{kG07, "1C", 30.0 + t}}));
  }
  watch.move(-1);
  const double back_s = -604'800;
  watch.add(epoch_of(back_s + 5, {{kG07, "1C", 35}}), at(5));
  const SignalSnapshot s = watch.snapshot(at(5));
  EXPECT_EQ(s.epochs.received, 6U);
  EXPECT_EQ(s.epochs.missed + s.epochs.jumps + s.epochs.backward, 0U);
  EXPECT_EQ(s.signals[0].cn0_min_dbhz, 30);
  const auto rows = watch.take_minutes(at(100));
  EXPECT_EQ(joined(rows, "epochs_received_count", minute_of(at(back_s))).count,
            6);
}

}  // namespace
}  // namespace stillpoint::quality

#include "stillpoint/quality/epoch_ledger.h"

#include <gtest/gtest.h>

#include "stillpoint/quality/quality_test_support.h"

namespace stillpoint::quality {
namespace {

// Epochs at these seconds, each received 0.2 s later.
EpochLedger live(std::initializer_list<double> times_s) {
  EpochLedger ledger;
  for (const double t_s : times_s) {
    ledger.take(at(t_s), at(t_s + 0.2));
  }
  return ledger;
}

EpochLedger recorded(std::initializer_list<double> times_s) {
  EpochLedger ledger;
  for (const double t_s : times_s) {
    ledger.take(at(t_s), std::nullopt);
  }
  return ledger;
}

TEST(EpochLedger, TheIntervalIsTheMedianStepOnceThreeWereSeen) {
  EXPECT_FALSE(live({0, 1, 2}).interval_s());
  EXPECT_EQ(live({0, 1, 2, 9}).interval_s(), 1);
  EXPECT_EQ(live({0, 0.1, 0.2, 0.3}).interval_s(), 0.1);
  EXPECT_EQ(live({0, 30, 60, 90}).interval_s(), 30);
}

TEST(EpochLedger, TheIntervalFollowsTheReceiverAfterAWhile) {
  EpochLedger ledger = live({0, 1, 2, 3});
  for (int k = 1; k <= 13; ++k) {
    ledger.take(at(3 + 30 * k), at(3 + 30 * k));
  }
  EXPECT_EQ(ledger.interval_s(), 30);
}

TEST(EpochLedger, CountsWhatIsMissingBetweenTwoEpochs) {
  EpochLedger ledger = live({0, 1, 2, 3, 4});
  const auto entry = ledger.take(at(8), at(8.2));
  EXPECT_TRUE(entry.in_order);
  EXPECT_EQ(entry.missed, 3U);
  EXPECT_EQ(entry.before, at(4));
  EXPECT_EQ(ledger.counts().missed, 3U);
  EXPECT_EQ(ledger.counts().received, 6U);
  EXPECT_EQ(ledger.counts().jumps, 0U);
}

// The clock of a receiver may walk by some milliseconds between epochs.
TEST(EpochLedger, UnevenStepsMissNothing) {
  EXPECT_EQ(live({0, 1, 2, 3, 4.4, 5, 5.7, 7}).counts().missed, 0U);
}

TEST(EpochLedger, AnOutageIsMissedWhereReceiveTimesTellTheSame) {
  const EpochCounts hour = live({0, 1, 2, 3, 3603}).counts();
  EXPECT_EQ(hour.missed, 3599U);
  EXPECT_EQ(hour.jumps, 0U);
  // Beyond a day it is no longer worth counting.
  EXPECT_EQ(live({0, 1, 2, 3, 90'003}).counts().missed, 0U);
  EXPECT_EQ(live({0, 1, 2, 3, 90'003}).counts().jumps, 1U);
}

TEST(EpochLedger, AReceiverThatSetsItsClockMissesNothing) {
  EpochLedger ledger = live({0, 1, 2, 3});
  ledger.take(at(22), at(4.2));  // 18 leap seconds on
  EXPECT_EQ(ledger.counts().missed, 0U);
  EXPECT_EQ(ledger.counts().jumps, 1U);
  ledger.take(at(23), at(5.2));
  EXPECT_EQ(ledger.counts().received, 6U);
  EXPECT_EQ(ledger.interval_s(), 1);
}

// Within five seconds: epochs wait on their way and come in a bunch.
TEST(EpochLedger, ABunchOfEpochsMissesWhatIsNotInIt) {
  EpochLedger ledger = live({0, 1, 2, 3});
  ledger.take(at(6), at(3.3));
  EXPECT_EQ(ledger.counts().missed, 2U);
}

TEST(EpochLedger, WithoutReceiveTimesTenMinutesAreTheLimit) {
  EXPECT_EQ(recorded({0, 1, 2, 3, 603}).counts().missed, 599U);
  EXPECT_EQ(recorded({0, 1, 2, 3, 604}).counts().missed, 0U);
  EXPECT_EQ(recorded({0, 1, 2, 3, 604}).counts().jumps, 1U);
}

TEST(EpochLedger, ARepeatedEpochIsDoubledAndNotUsed) {
  EpochLedger ledger = live({0, 1, 2, 3});
  EXPECT_FALSE(ledger.take(at(3), at(3.3)).in_order);
  EXPECT_EQ(ledger.counts().doubled, 1U);
  EXPECT_EQ(ledger.counts().received, 4U);
}

TEST(EpochLedger, OneLateEpochDoesNotTurnTheSequence) {
  EpochLedger ledger = live({0, 1, 2, 4});
  EXPECT_FALSE(ledger.take(at(3), at(4.3)).in_order);
  EXPECT_EQ(ledger.take(at(5), at(5.2)).missed, 0U);
  EXPECT_EQ(ledger.counts().backward, 1U);
  EXPECT_EQ(ledger.last(), at(5));
}

TEST(EpochLedger, AClockSetBackGoesOnFromThere) {
  EpochLedger ledger = live({100, 101, 102, 103});
  EXPECT_FALSE(ledger.take(at(4), at(104)).in_order);
  EXPECT_TRUE(ledger.take(at(5), at(105)).in_order);
  EXPECT_TRUE(ledger.take(at(6), at(106)).in_order);
  EXPECT_EQ(ledger.counts().backward, 2U);
  EXPECT_EQ(ledger.counts().missed, 0U);
  EXPECT_EQ(ledger.counts().received, 6U);
  EXPECT_EQ(ledger.last(), at(6));
}

// Two late epochs with a good one between them are two late epochs.
TEST(EpochLedger, LateEpochsNowAndThenDoNotTurnTheSequence) {
  EpochLedger ledger = live({0, 1, 2, 4});
  ledger.take(at(3), at(4.3));
  ledger.take(at(6), at(6.2));
  EXPECT_FALSE(ledger.take(at(5), at(6.3)).in_order);
  EXPECT_EQ(ledger.last(), at(6));
}

TEST(EpochLedger, EpochsThatComeBackToFrontDoNotTurnTheSequence) {
  EpochLedger ledger = live({0, 1, 2, 5});
  EXPECT_FALSE(ledger.take(at(4), at(5.3)).in_order);
  EXPECT_FALSE(ledger.take(at(3), at(5.4)).in_order);
  EXPECT_EQ(ledger.counts().backward, 2U);
  EXPECT_EQ(ledger.last(), at(5));
}

// A step that is too short to have an epoch missing in it is no jump either.
TEST(EpochLedger, ALongStepIsOneAndAHalfIntervals) {
  EpochLedger ledger = live({0, 30, 60, 90});
  ledger.take(at(134), at(120.2));
  EXPECT_EQ(ledger.counts().jumps, 0U);
  ledger.take(at(180), at(150.2));
  EXPECT_EQ(ledger.counts().jumps, 1U);
}

TEST(EpochLedger, AnotherWeekIsNoStep) {
  EpochLedger ledger = live({0, 1, 2, 3});
  ledger.move(-2);
  EXPECT_EQ(ledger.last(), at(3 - 2 * 604'800.0));
  ledger.take(at(4 - 2 * 604'800.0), at(4.2));
  EXPECT_EQ(ledger.counts().received, 5U);
  EXPECT_EQ(
      ledger.counts().missed + ledger.counts().jumps + ledger.counts().backward,
      0U);
}

}  // namespace
}  // namespace stillpoint::quality

// What the card, the disk and the clock do to a station, and the ledger of it:
// what was said while it happened and what is read afterwards agree to the
// byte.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

using Kind = ArchiveEventKind;

class Ledger : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(station_.open()); }
  void seconds(int count) {
    for (int i = 0; i < count; ++i) {
      station_.second(kRate);
    }
    sent_ += static_cast<std::uint64_t>(count) * kRate;
  }
  void seconds_from(GnssTime first, int count) {
    station_.set_time(GnssTime::from_ns(first.ns() - kSecond));
    seconds(count);
  }
  [[nodiscard]] std::vector<ArchiveEvent> said(Kind kind) const {
    std::vector<ArchiveEvent> found;
    for (const ArchiveEvent& event : station_.events) {
      if (event.kind == kind) {
        found.push_back(event);
      }
    }
    return found;
  }
  // Closes; the ranges that the events named are those that are read as gaps,
  // and the rest is there.
  Collected settle() {
    EXPECT_TRUE(station_.close());
    EXPECT_EQ(station_.announced_too_early, "");
    EXPECT_EQ(station_.verdict(files_), "");
    Collected all = read_all(files_);
    std::vector<Gap> named;
    for (const Kind kind : {Kind::kLost, Kind::kDropped}) {
      for (const ArchiveEvent& event : said(kind)) {
        named.push_back(*event.range);
      }
    }
    EXPECT_EQ(all.gaps.size(), named.size());
    for (std::size_t i = 0; i < std::min(all.gaps.size(), named.size()); ++i) {
      if (named[i].reason == GapReason::kInterrupted) {
        // The start knows when it was, the record when the next byte came.
        EXPECT_LT(named[i].first_after, all.gaps[i].first_after);
        named[i].first_after = all.gaps[i].first_after;
      }
      EXPECT_EQ(all.gaps[i], named[i]);
    }
    std::uint64_t lost = 0;
    for (const Gap& gap : named) {
      lost += gap.to - gap.from;
    }
    EXPECT_EQ(all.byte_count() + lost, sent_);
    return all;
  }
  static constexpr std::size_t kRate = 1000;
  FakeFileSystem files_;
  Station station_{files_, utc(2026, 11, 25, 12, 0, 0)};
  std::uint64_t sent_ = 0;
};

TEST_F(Ledger, ADiskThatIsFullForFiveMinutesCostsNothing) {
  seconds(30);
  files_.fail_at(0, FaultKind::kNoSpace, true);
  seconds(300);
  EXPECT_EQ(said(Kind::kGivenUp).size(), 1U);
  EXPECT_GT(said(Kind::kCannotWrite).size(), 20U);  // tried every 10 s
  EXPECT_EQ(said(Kind::kCannotWrite).back().error->fault, FileFault::kNoSpace);
  files_.repair();
  seconds(30);
  EXPECT_TRUE(settle().gaps.empty());
}

TEST_F(Ledger, ADiskThatStaysFullCostsTheOldestByAnExactRange) {
  station_.recorder.reset();
  station_.options.most_pending = 60'000;
  ASSERT_TRUE(station_.open());
  seconds(30);
  files_.fail_at(0, FaultKind::kNoSpace, true);
  seconds(200);
  const std::uint64_t safe = station_.recorder->durable_offset();
  files_.repair();
  seconds(30);
  const Collected all = settle();
  ASSERT_EQ(all.gaps.size(), 1U);
  EXPECT_EQ(all.gaps[0].reason, GapReason::kDropped);
  EXPECT_EQ(all.gaps[0].from, safe);
  // 60 kB stayed, of seconds that begin where a second began.
  EXPECT_EQ(all.gaps[0].to % kRate, 0U);
  EXPECT_LE(230U * kRate - all.gaps[0].to, 60'000U + 10 * kRate);
  // When the byte at an offset came: the second of it, counted from 1.
  const auto received = [&](std::uint64_t offset) {
    return GnssTime::from_ns(utc(2026, 11, 25, 12, 0, 1).ns() +
                             static_cast<std::int64_t>(offset / kRate) *
                                 kSecond);
  };
  EXPECT_EQ(all.gaps[0].last_before, received(safe - 1));
  EXPECT_EQ(all.gaps[0].first_after, received(all.gaps[0].to));
}

TEST_F(Ledger, ASegmentOfWhichNothingIsSafeLeavesNoFile) {
  constexpr std::size_t kFirstSync = 7;  // behind two folders, name and write
  files_.fail_at(kFirstSync, FaultKind::kSyncFails, false);
  seconds(12);
  EXPECT_EQ(said(Kind::kGivenUp).size(), 1U);
  EXPECT_TRUE(files_.paths().empty());
  seconds(30);
  EXPECT_TRUE(settle().gaps.empty());
  EXPECT_EQ(files_.paths(),
            (std::vector<std::string>{"raw/2026/329/12.seg", "raw/latest"}));
}

TEST_F(Ledger, ADiskThatIsReadOnlyForAWhileCostsNothing) {
  seconds(30);
  files_.fail_at(0, FaultKind::kReadOnly, true);
  seconds(100);
  EXPECT_FALSE(station_.recorder->status().works);
  files_.repair();
  seconds(30);
  EXPECT_TRUE(settle().gaps.empty());
}

// Nothing can be repaired on it: the start says so and is tried again.
TEST_F(Ledger, AStartOnAReadOnlyDiskIsRefusedUntilItIsNot) {
  seconds(30);
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  files_.fail_at(0, FaultKind::kReadOnly, true);
  EXPECT_FALSE(station_.open());
  EXPECT_EQ(read_all(files_).byte_count(), safe);
  files_.repair();
  ASSERT_TRUE(station_.open());
  sent_ = safe;
  seconds(30);
  const Collected all = settle();
  ASSERT_EQ(all.gaps.size(), 1U);
  EXPECT_EQ(all.gaps[0].from, safe);
  EXPECT_EQ(all.gaps[0].to, safe);
}

TEST_F(Ledger, SyncsOfAHundredMillisecondsCostNothingAndStayInTime) {
  std::size_t syncs = 0;
  files_.on_sync = [&] {
    ++syncs;
    station_.set_time(GnssTime::from_ns(station_.now().ns() + kSecond / 10));
  };
  std::vector<std::pair<GnssTime, std::uint64_t>> ends;
  std::size_t seen = 0;
  for (int i = 0; i < 300; ++i) {
    seconds(1);
    ends.emplace_back(station_.now(), station_.recorder->end_offset());
    // All that came 10.1 s ago and before is safe.
    while (station_.now() - ends[seen].first > Duration{10.1}) {
      ASSERT_GE(station_.recorder->durable_offset(), ends[seen].second);
      ++seen;
    }
  }
  EXPECT_GT(syncs, 300U / 10);
  EXPECT_LE(syncs, 300U / 4);
  EXPECT_TRUE(settle().gaps.empty());
}

TEST_F(Ledger, AClockThatStepsForwardAnHourCostsNothing) {
  seconds_from(utc(2026, 11, 25, 12, 30, 0), 47);
  seconds_from(utc(2026, 11, 25, 13, 30, 0), 47);
  EXPECT_TRUE(settle().gaps.empty());
  for (const int hour : {12, 13}) {
    const Collected part = read_between(files_,
                                        utc(2026, 11, 25, hour, 0, 0),
                                        utc(2026, 11, 25, hour + 1, 0, 0));
    EXPECT_EQ(part.byte_count(), 47U * kRate);
    EXPECT_TRUE(part.gaps.empty());
  }
}

TEST_F(Ledger, AClockThatStepsBackAnHourCostsNothing) {
  seconds_from(utc(2026, 11, 25, 12, 30, 0), 47);
  // Nothing old stays in memory until an hour has passed again.
  seconds_from(utc(2026, 11, 25, 11, 30, 0), 1);
  EXPECT_GE(station_.recorder->durable_offset(), 47U * kRate);
  seconds(46);
  EXPECT_TRUE(settle().gaps.empty());
  for (const int hour : {11, 12}) {
    const Collected part = read_between(files_,
                                        utc(2026, 11, 25, hour, 0, 0),
                                        utc(2026, 11, 25, hour + 1, 0, 0));
    EXPECT_EQ(part.byte_count(), 47U * kRate);
    EXPECT_TRUE(part.gaps.empty());
  }
}

TEST_F(Ledger, AStepBackWhileTheDiskIsFullCostsNothing) {
  seconds_from(utc(2026, 11, 25, 12, 30, 0), 40);
  files_.fail_at(0, FaultKind::kNoSpace, true);
  seconds(20);
  seconds_from(utc(2026, 11, 25, 11, 30, 0), 20);
  files_.repair();
  seconds(20);
  EXPECT_TRUE(settle().gaps.empty());
}

// kind: published   source: IERS Bulletin C 52: 2016-12-31T23:59:60 was a
// second of UTC
TEST_F(Ledger, ALeapSecondAtTheEndOfAYearCostsNothing) {
  seconds_from(utc(2016, 12, 31, 23, 59, 31), 60);
  EXPECT_TRUE(settle().gaps.empty());
  const Collected old = read_between(
      files_, utc(2016, 12, 31, 23, 0, 0), utc(2017, 1, 1, 0, 0, 0));
  EXPECT_EQ(old.byte_count(), 30U * kRate);  // 23:59:31 to 23:59:60
  EXPECT_EQ(old.parts.back().received, utc(2016, 12, 31, 23, 59, 60));
}

TEST_F(Ledger, TheEndOfAYearCostsNothing) {
  seconds_from(utc(2026, 12, 31, 23, 59, 30), 60);
  EXPECT_TRUE(settle().gaps.empty());
  const Collected young =
      read_between(files_, utc(2027, 1, 1, 0, 0, 0), utc(2027, 1, 1, 1, 0, 0));
  EXPECT_EQ(young.byte_count(), 30U * kRate);
  EXPECT_TRUE(young.gaps.empty());
}

TEST_F(Ledger, APowerCutSaysWhereTheRecordEndsAndGoesOn) {
  seconds(30);
  const std::uint64_t safe = station_.recorder->durable_offset();
  station_.kill();
  files_.restart();
  station_.set_time(utc(2026, 11, 25, 12, 5, 0));
  ASSERT_TRUE(station_.open());
  ASSERT_EQ(said(Kind::kLost).size(), 1U);
  EXPECT_EQ(said(Kind::kLost)[0].path, "2026/329/12.seg");
  sent_ = station_.recorder->end_offset();
  EXPECT_GE(sent_, safe);
  EXPECT_EQ(said(Kind::kLost)[0].range->from, sent_);
  seconds(30);
  EXPECT_EQ(settle().gaps.size(), 1U);
}

}  // namespace
}  // namespace stillpoint::archive

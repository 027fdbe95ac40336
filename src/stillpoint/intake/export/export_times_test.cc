// Where exported files begin and end, and which epochs they have.
#include <gtest/gtest.h>

#include "stillpoint/intake/export/export_archive.h"
#include "stillpoint/intake/export/export_test_support.h"

namespace stillpoint::intake {
namespace {

using namespace export_test;

TEST(ExportArchive, CutsByEpochsAndHalfOpen) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen - Duration{30}, 60);
  ExportRequest r = request();
  r.span = {kTen, kTen + Duration{10}};
  const Exported done = exported(recording, r);
  ASSERT_EQ(done.names(),
            std::vector<std::string>{"LHOL00XXX_S_20261531000_01M_01S_MO.rnx"});
  const auto times = times_of(done.observations(done.names()[0]), kTen);
  EXPECT_EQ(times.size(), 10U);
  EXPECT_EQ(times.front(), 0);
  EXPECT_EQ(times.back(), 9);
}

// Played a hundred days after its epochs: nobody finds it by these.
TEST(ExportArchive, ReadsByTheReceptionWhereThatIsGiven) {
  const Duration late{100 * 86'400.0};
  Recording recording;
  PaperBase base;
  for (int i = 0; i < 20; ++i) {
    const GnssTime t = kTen + Duration{i * 1.0};
    recording.add(base.epoch(t), t + late);
  }
  recording.close();
  ExportRequest r = request();
  r.span = {kTen + Duration{5}, kTen + Duration{10}};
  EXPECT_FALSE(tried(recording, r));
  r.received = {kTen + late, kTen + late + Duration{60}};
  r.day = kTen;  // nothing in the stream tells the week
  const Exported done = exported(recording, r);
  ASSERT_EQ(done.names().size(), 1U);
  EXPECT_EQ(times_of(done.observations(done.names()[0]), kTen),
            (std::vector<double>{5, 6, 7, 8, 9}));
  EXPECT_TRUE(done.warns("recording_clock"));
}

TEST(ExportArchive, HoursOfOneRunAreTheDayInParts) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen - Duration{4}, 8);
  ExportRequest r = request();
  r.length = PeriodLength::kHour;
  const Exported done = exported(recording, r);
  EXPECT_EQ(
      done.names(),
      (std::vector<std::string>{"LHOL00XXX_S_20261530900_01H_01S_MO.rnx",
                                "LHOL00XXX_S_20261531000_01H_01S_MO.rnx"}));
  EXPECT_EQ(times_of(done.observations(done.names()[0]), kTen),
            (std::vector<double>{-4, -3, -2, -1}));
  EXPECT_EQ(times_of(done.observations(done.names()[1]), kTen),
            (std::vector<double>{0, 1, 2, 3}));
}

TEST(ExportArchive, CutsAtTheEdgeOfAWeekAndOfAYear) {
  for (const char* text : {"2026-06-07", "2027-01-01"}) {
    const GnssTime edge = *parse_time(text);
    Recording recording;
    PaperBase base;
    recording.add_epochs(base, edge - Duration{2}, 4);
    const Exported done = exported(recording, request());
    ASSERT_EQ(done.names().size(), 2U) << text;
    EXPECT_EQ(times_of(done.observations(done.names()[0]), edge),
              (std::vector<double>{-2, -1}));
    EXPECT_EQ(times_of(done.observations(done.names()[1]), edge),
              (std::vector<double>{0, 1}));
  }
}

// kind: published   source: IERS Bulletin C 52: a leap second at the end of
// 2016-12-31 UTC; midnight of GPS time is 17 s before that of UTC
// tolerance: exact, whole seconds
TEST(ExportArchive, GoesThroughALeapSecond) {
  const GnssTime leap = *parse_time("2016-12-31T23:59:60Z");
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, leap - Duration{3}, 6);
  const Exported done = exported(recording, request());
  ASSERT_EQ(done.names(),
            std::vector<std::string>{"LHOL00XXX_S_20170010000_01D_01S_MO.rnx"});
  const ReadBack back = done.observations(done.names()[0]);
  EXPECT_EQ(times_of(back, leap), (std::vector<double>{-3, -2, -1, 0, 1, 2}));
  EXPECT_EQ(back.header.leap_seconds, 17);
}

TEST(ExportArchive, ThinsAndKeepsLossesOfLock) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 40);
  base.lose_lock(kG07, {'1', 'C'});
  recording.add_epochs(base, kTen + Duration{40}, 60);
  ExportRequest r = request();
  r.interval_s = 30;
  const std::string name = "LHOL00XXX_S_20261530000_01D_30S_MO.rnx";
  const ReadBack back = exported(recording, r).observations(name);
  EXPECT_EQ(times_of(back, kTen), (std::vector<double>{0, 30, 60, 90}));
  EXPECT_EQ(back.header.interval_s, 30);
  std::vector<int> first, second;
  for (const Epoch& epoch : back.epochs) {
    first.push_back(row_of(epoch, kG07, "1C").lli & 1);
    second.push_back(row_of(epoch, kG07, "2W").lli & 1);
  }
  EXPECT_EQ(first, (std::vector{0, 0, 1, 0}));
  EXPECT_EQ(second, (std::vector{0, 0, 0, 0}));
}

// Files that are exported one by one are those of one run.
TEST(ExportArchive, ALossOfLockBeforeTheSpanIsKnownInIt) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen - Duration{60}, 50);
  base.lose_lock(kG07, {'1', 'C'});
  recording.add_epochs(base, kTen - Duration{10}, 40);
  ExportRequest r = request();
  r.span.start = kTen;
  r.interval_s = 30;
  const Exported done = exported(recording, r);
  ASSERT_EQ(done.names().size(), 1U);
  const ReadBack back = done.observations(done.names()[0]);
  EXPECT_EQ(row_of(back.epochs.at(0), kG07, "1C").lli & 1, 1);
}

// The clock of the recording ran a few minutes fast.
TEST(ExportArchive, ReadsAsMuchMoreAsTheClockWasOff) {
  Recording recording;
  PaperBase base;
  for (int s = 0; s < 200; ++s) {
    const GnssTime time = kTen + Duration{static_cast<double>(s)};
    recording.add(base.epoch(time), time + Duration{400});
  }
  ExportRequest r = request();
  r.span = {kTen, kTen + Duration{120}};
  const Exported done = exported(recording, r);
  ASSERT_EQ(done.names().size(), 1U);
  EXPECT_EQ(done.observations(done.names()[0]).epochs.size(), 120U);
  EXPECT_TRUE(done.warns("recording_clock"));
}

TEST(ExportArchive, AllOfItIsFoundWhateverTheClockSaid) {
  Recording recording;
  PaperBase base;
  for (int s = 0; s < 400; ++s) {
    const GnssTime time = kTen + Duration{static_cast<double>(s)};
    recording.add(base.epoch(time), time + Duration{1800});
  }
  ExportRequest r = request();
  r.span = {kTen + Duration{100}, kTen + Duration{110}};
  // Not within five minutes of the span by reception: nothing is known of it.
  const auto none = tried(recording, r);
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().code, ErrorCode::kNoData);
  r.span = {};
  const Exported done = exported(recording, r);
  EXPECT_EQ(done.observations(kDayName).epochs.size(), 400U);
  EXPECT_TRUE(done.warns("recording_clock"));
}

// Bytes that were received years after they were sent: the sets tell the week.
TEST(ExportArchive, TheWeekIsThatOfTheEphemerides) {
  const GnssTime received = *parse_time("2026-11-29T04:00:00");
  Recording recording;
  PaperBase base;
  for (int s = 0; s < 20; ++s) {
    const GnssTime time = kTen + Duration{static_cast<double>(s)};
    recording.add(base.epoch(time), received + Duration{s * 0.001});
    if (s % 5 == 4) {
      recording.add(PaperBase::ephemeris(7, kTen + Duration{7200}),
                    received + Duration{s * 0.001});
    }
  }
  const Exported done = exported(recording, request());
  EXPECT_EQ(times_of(done.observations(kDayName), kTen).size(), 20U);
  EXPECT_EQ(done.answer.files.size(), 2U);
}

TEST(ExportArchive, GoesOnInTheRightWeekAfterAMonthOfSilence) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 5);
  recording.add_epochs(base, kTen + Duration{30 * 86'400.0}, 5);
  const Exported done = exported(recording, request());
  EXPECT_EQ(done.names(),
            (std::vector<std::string>{
                kDayName, "LHOL00XXX_S_20261830000_01D_01S_MO.rnx"}));
}

}  // namespace
}  // namespace stillpoint::intake

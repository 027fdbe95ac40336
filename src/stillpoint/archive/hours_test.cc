// Clocks that step, leap seconds and the ends of years: names and order.
#include <gtest/gtest.h>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/segment_name.h"

namespace stillpoint::archive {
namespace {

// kind: published   source: IERS Bulletin C 52: a leap second at the end of
// December 2016; 31 December 2016 is day 366
TEST(SegmentNames, ALeapSecondBelongsToTheHourItEnds) {
  const UtcHour last{2016, 366, 23};
  EXPECT_EQ(utc_hour(utc(2016, 12, 31, 23, 59, 60.5)), last);
  EXPECT_EQ(utc_hour(utc(2016, 12, 31, 23, 59, 59.5)), last);
  EXPECT_EQ(utc_hour(utc(2017, 1, 1, 0, 0, 0)), (UtcHour{2017, 1, 0}));
}

TEST(SegmentNames, PathsAreReadBackAndOthersAreNot) {
  for (const SegmentName& name :
       {SegmentName{{2026, 329, 17}, 0}, SegmentName{{2026, 1, 0}, 12}}) {
    EXPECT_EQ(parse_segment_path(name.path()), name);
  }
  for (const char* text : {"2026/329/17.seg.part",
                           "2026/329/24.seg",
                           "2026/000/17.seg",
                           "2026/367/17.seg",
                           "2026/329/17-0.seg",
                           "2026/329/17-01.seg",
                           "2026/329/17-.seg",
                           "2026/329/17x.seg",
                           "26/329/17.seg",
                           "2026/329/7.seg",
                           "",
                           ".seg",
                           "latest"}) {
    EXPECT_FALSE(parse_segment_path(text)) << text;
  }
}

TEST(SegmentNames, TenComesAfterNine) {
  EXPECT_LT((SegmentName{{2026, 329, 17}, 9}),
            (SegmentName{{2026, 329, 17}, 10}));
}

class Hours : public ::testing::Test {
 protected:
  void record_at(GnssTime start, int seconds) {
    station_.set_time(GnssTime::from_ns(start.ns() - kSecond));
    for (int i = 0; i < seconds; ++i) {
      station_.second(400);
    }
  }
  void finish() {
    ASSERT_TRUE(station_.close());
    EXPECT_EQ(station_.announced_too_early, "");
    EXPECT_EQ(station_.verdict(files_), "");
    EXPECT_TRUE(read_all(files_).gaps.empty());
  }
  FakeFileSystem files_;
  Station station_{files_, half_a_minute_before_noon()};
};

TEST_F(Hours, AtTheEndOfAYearWithALeapSecond) {
  ASSERT_TRUE(station_.open());
  record_at(utc(2016, 12, 31, 23, 59, 50), 30);
  finish();
  EXPECT_EQ(files_.paths(),
            (std::vector<std::string>{
                "raw/2016/366/23.seg", "raw/2017/001/00.seg", "raw/latest"}));
  const Collected old = read_between(
      files_, utc(2016, 12, 31, 0, 0, 0), utc(2017, 1, 1, 0, 0, 0));
  EXPECT_EQ(old.byte_count(), 11U * 400);  // 23:59:50 .. 23:59:60
}

TEST_F(Hours, AClockThatStepsBackAnHourKeepsTheOrderOfTheStream) {
  ASSERT_TRUE(station_.open());
  record_at(utc(2026, 11, 25, 12, 30, 0), 30);
  record_at(utc(2026, 11, 25, 11, 30, 0), 30);
  record_at(utc(2026, 11, 25, 12, 30, 0), 30);
  finish();
  EXPECT_EQ(files_.paths(),
            (std::vector<std::string>{"raw/2026/329/11.seg",
                                      "raw/2026/329/12-1.seg",
                                      "raw/2026/329/12.seg",
                                      "raw/latest"}));
  for (const int hour : {11, 12}) {
    const Collected part = read_between(files_,
                                        utc(2026, 11, 25, hour, 0, 0),
                                        utc(2026, 11, 25, hour + 1, 0, 0));
    EXPECT_EQ(part.byte_count(), (hour == 11 ? 30U : 60U) * 400);
    EXPECT_TRUE(part.gaps.empty());
  }
}

TEST_F(Hours, AStepBackWithinTheHourIsFoundByTime) {
  ASSERT_TRUE(station_.open());
  for (int i = 0; i < 5; ++i) {
    record_at(utc(2026, 11, 25, 12, 30 - i, 0), 300);
  }
  finish();
  const Collected part = read_between(
      files_, utc(2026, 11, 25, 12, 26, 0), utc(2026, 11, 25, 12, 27, 0));
  EXPECT_EQ(part.byte_count(), 60U * 400);
}

// A board without a clock of its own starts with an old time, records, and is
// cut off before it learns better.
TEST_F(Hours, AnOldClockNeverUsesAnOffsetTwice) {
  ASSERT_TRUE(station_.open());
  record_at(utc(2026, 11, 25, 12, 30, 0), 30);
  ASSERT_TRUE(station_.close());
  station_.set_time(utc(2026, 3, 1, 0, 0, 0));
  ASSERT_TRUE(station_.open());
  record_at(utc(2026, 3, 1, 0, 0, 0), 30);
  station_.kill();
  files_.restart();
  station_.set_time(utc(2026, 11, 26, 8, 0, 0));
  ASSERT_TRUE(station_.open());
  EXPECT_GE(station_.recorder->end_offset(), 50U * 400);
  record_at(utc(2026, 11, 26, 8, 0, 0), 30);
  ASSERT_TRUE(station_.close());
  EXPECT_EQ(station_.verdict(files_), "");
}

TEST_F(Hours, WithoutTheNoteTheWholeArchiveIsLookedAt) {
  ASSERT_TRUE(station_.open());
  record_at(utc(2026, 11, 25, 12, 30, 0), 30);
  record_at(utc(2026, 3, 1, 0, 0, 0), 30);
  ASSERT_TRUE(station_.close());
  auto note = files_.content("raw/latest");
  note[10] ^= 1U;
  files_.set_content("raw/latest", note);
  station_.set_time(utc(2026, 11, 26, 8, 0, 0));
  ASSERT_TRUE(station_.open());
  EXPECT_EQ(station_.recorder->end_offset(), 60U * 400);
}

TEST_F(Hours, ARangeOfYearsIsFoundByNames) {
  ASSERT_TRUE(station_.open());
  for (int year = 2017; year < 2027; ++year) {
    for (int hour = 0; hour < 24; ++hour) {
      station_.set_time(utc(year, 7, 1, hour, 10, 0));
      station_.second(100);
    }
  }
  finish();
  files_.repair();
  const Collected part =
      read_between(files_, utc(2020, 7, 1, 5, 0, 0), utc(2020, 7, 1, 7, 0, 0));
  EXPECT_EQ(part.byte_count(), 200U);
  std::size_t opened = 0;
  for (const CallKind call : files_.calls()) {
    opened += call == CallKind::kOpen ? 1U : 0U;
  }
  EXPECT_LE(opened, 8U);  // of 240 segments
}

TEST_F(Hours, AMinuteOfALongHourIsFoundWithoutReadingItAll) {
  ASSERT_TRUE(station_.open());
  station_.set_time(utc(2026, 11, 25, 12, 0, 0));
  for (int i = 0; i < 3500; ++i) {
    station_.recorder->append(
        std::vector<std::uint8_t>(1000, 7),
        GnssTime::from_ns(station_.now().ns() + i * kSecond));
    std::uint64_t noise = 99 + static_cast<unsigned>(i);
    station_.recorder->append(
        receiver_like(1000, noise),
        GnssTime::from_ns(station_.now().ns() + i * kSecond));
  }
  ASSERT_TRUE(station_.recorder->close(station_.now()));
  files_.repair();
  const Collected part = read_between(
      files_, utc(2026, 11, 25, 12, 40, 0), utc(2026, 11, 25, 12, 41, 0));
  EXPECT_EQ(part.byte_count(), 60U * 2000);
  EXPECT_TRUE(part.gaps.empty());
  std::size_t reads = 0;
  for (const CallKind call : files_.calls()) {
    reads += call == CallKind::kRead ? 1U : 0U;
  }
  EXPECT_LE(reads, 60U);  // the hour has more than 100 blocks, two reads each
}

}  // namespace
}  // namespace stillpoint::archive

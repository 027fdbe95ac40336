// What one stream gives: the plain cases, one behaviour a test.
#include "stillpoint/profile/splitter.h"

#include <gtest/gtest.h>

#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::from_text;
using test::joined;
using test::Outcome;
using test::Recorder;
using test::sentence;
using test::split;
using test::split_in_pieces;

// kind: published   source: RTCM 10403.x, worked frame of message 1005
TEST(Splitter, FindsTheWorkedFrameOfTheStandard) {
  const Outcome got = split(test::rtcm_1005(), {});
  ASSERT_EQ(got.frames.size(), 1U);
  EXPECT_EQ(got.frames[0].bytes, test::rtcm_1005());
  EXPECT_EQ(got.counts.frames[0], 1U);
  EXPECT_EQ(got.counts.bytes, 25U);
  EXPECT_EQ(got.counts.skipped_bytes, 0U);
}

// kind: published   source: the GGA and GLL sentences by which descriptions of
// NMEA 0183 explain the checksum, from memory
TEST(Splitter, FindsSentencesWithTheirPrintedChecksums) {
  const std::string gga =
      "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n";
  const std::string gll = "$GPGLL,5057.970,N,00146.110,E,142451,A*27\r\n";
  const Outcome got = split(from_text(gga + gll), {});
  ASSERT_EQ(got.frames.size(), 2U);
  EXPECT_EQ(got.frames[0].kind, FrameKind::kNmea);
  EXPECT_EQ(got.frames[0].bytes, from_text(gga));
  EXPECT_EQ(got.frames[1].bytes, from_text(gll));
  EXPECT_EQ(got.frames[1].offset, gga.size());
}

TEST(Splitter, TakesLowerCaseDigitsAndALoneLineFeed) {
  for (const char* line : {"$Z*5a\r\n", "!Z*5a\n", "$Z*5A\n", "$*00\n"}) {
    const Outcome got = split(from_text(line), {});
    EXPECT_EQ(got.counts.frames[1], 1U) << line;
    EXPECT_EQ(got.counts.skipped_bytes, 0U) << line;
  }
}

TEST(Splitter, WhatOnlyLooksLikeASentenceIsSkippedAndNotBad) {
  for (const char* text : {"$Z*5\r\n",
                           "$Z*5G\r\n",
                           "$Z\r\n",
                           "$Z*5A",
                           "$Z*5A\r",
                           "$Z*5A\r\r\n",
                           "$Z*5A \n",
                           "$Z*1*5A\r\n",
                           "$Z\t*53\r\n",
                           "Z*5A\r\n"}) {
    const Outcome got = split(from_text(text), {});
    EXPECT_TRUE(got.frames.empty()) << text;
    EXPECT_EQ(got.counts.bad_checksum, 0U) << text;
    EXPECT_EQ(got.counts.skipped_bytes, std::string(text).size());
  }
}

TEST(Splitter, ASentenceWithAnotherSumIsBad) {
  const Outcome got = split(from_text("$Z*5B\r\n"), {});
  EXPECT_TRUE(got.frames.empty());
  EXPECT_EQ(got.counts.bad_checksum, 1U);
  EXPECT_EQ(got.counts.skipped_bytes, 7U);
}

TEST(Splitter, ASentenceEndsTheUnfinishedOneBeforeIt) {
  const Outcome got = split(joined({from_text("$GPGGA,12"),
                                    sentence("GPZDA,1"),
                                    from_text("!GP"),
                                    sentence("GPZDA,2")}),
                            {});
  EXPECT_EQ(got.counts.frames[1], 2U);
  EXPECT_EQ(got.counts.skipped_bytes, 12U);
  EXPECT_EQ(got.counts.bad_checksum, 0U);
}

TEST(Splitter, ASentenceHasAtMost512Bytes) {
  // '$', body, '*', two digits, CR LF.
  const Bytes longest = sentence(std::string(506, 'A'));
  ASSERT_EQ(longest.size(), 512U);
  EXPECT_EQ(split(longest, {}).counts.frames[1], 1U);
  for (const std::size_t more : {507U, 508U, 509U, 511U, 512U, 600U}) {
    const Bytes beyond = sentence(std::string(more, 'A'));
    EXPECT_EQ(split(beyond, {}).counts.frames[1], 0U) << more;
    EXPECT_EQ(split_in_pieces(beyond, {}, 1), split(beyond, {})) << more;
  }
  Bytes lone = sentence(std::string(507, 'A'));
  lone.erase(lone.end() - 2);
  ASSERT_EQ(lone.size(), 512U);
  EXPECT_EQ(split(lone, {}).counts.frames[1], 1U);
}

TEST(Splitter, FramesOfLengthZeroAreGood) {
  const Bytes empty = test::rtcm_frame({});
  ASSERT_EQ(empty.size(), 6U);
  const Outcome got = split(joined({empty, empty, test::rtcm_1005()}), {});
  EXPECT_EQ(got.counts.frames[0], 3U);
  EXPECT_EQ(got.counts.skipped_bytes, 0U);
}

TEST(Splitter, TheLongestFrameIsGood) {
  const Bytes longest = test::rtcm_frame(test::garbage(1023, 5));
  ASSERT_EQ(longest.size(), 1029U);
  EXPECT_EQ(split(longest, {}).counts.frames[0], 1U);
  EXPECT_EQ(split_in_pieces(longest, {}, 1).counts.frames[0], 1U);
}

TEST(Splitter, ReservedBitsMakeNoCandidate) {
  Bytes frame = test::rtcm_1005();
  frame[1] = 0x04;
  const Outcome got = split(joined({frame, test::rtcm_1005()}), {});
  EXPECT_EQ(got.counts.frames[0], 1U);
  EXPECT_EQ(got.counts.bad_checksum, 0U);
  EXPECT_EQ(got.counts.skipped_bytes, 25U);
}

TEST(Splitter, ABadFrameGivesBackWhatItCovers) {
  // D3 00 1F would be a frame of 37 bytes: it covers the whole 1005 frame.
  const Bytes false_start = from_hex("D3001F");
  const Outcome got =
      split(joined({false_start, test::rtcm_1005(), sentence("GPZDA,1")}), {});
  ASSERT_EQ(got.frames.size(), 2U);
  EXPECT_EQ(got.frames[0].offset, 3U);
  EXPECT_EQ(got.counts.bad_checksum, 1U);
  EXPECT_EQ(got.counts.skipped_bytes, 3U);
}

TEST(Splitter, OverlappingStartsAreEachTried) {
  const Outcome got =
      split(joined({from_hex("D3D300D30000D30001D3"), test::rtcm_1005()}), {});
  EXPECT_EQ(got.counts.frames[0], 1U);
  EXPECT_EQ(got.counts.skipped_bytes, 10U);
  EXPECT_EQ(
      got,
      test::reference(
          joined({from_hex("D3D300D30000D30001D3"), test::rtcm_1005()}), {}));
}

TEST(Splitter, AGoodFrameOwnsAllBytesInside) {
  const Bytes payload =
      joined({test::rtcm_1005(), sentence("GPZDA,1"), from_hex("D303FF24D3")});
  const Outcome got = split(test::rtcm_frame(payload), {});
  ASSERT_EQ(got.frames.size(), 1U);
  EXPECT_EQ(got.frames[0].bytes.size(), payload.size() + 6);
  EXPECT_EQ(got.counts.frames[1], 0U);
  EXPECT_EQ(got.counts.bad_checksum, 0U);
}

TEST(Splitter, FalseStartsOfFullLengthHideNothing) {
  const Bytes start = from_hex("D303FF");
  const Bytes good = joined({test::rtcm_1005(), sentence("GPZDA,1")});
  // Enough behind: all of them become bad frames. Too little: given up.
  for (const std::size_t behind : {2000U, 0U}) {
    const Bytes stream = joined(
        {start, start, start, good, start, good, Bytes(behind, 0x55), start});
    const Outcome got = split(stream, {});
    EXPECT_EQ(got.counts.frames[0], 2U);
    EXPECT_EQ(got.counts.frames[1], 2U);
    EXPECT_EQ(got.counts.bad_checksum, behind == 0 ? 0U : 4U);
    EXPECT_EQ(got.counts.skipped_bytes, 15U + behind);
  }
}

TEST(Splitter, AnUnfinishedEndIsSkipped) {
  Bytes cut = test::rtcm_1005();
  cut.pop_back();
  const Outcome got = split(joined({test::rtcm_1005(), cut}), {});
  EXPECT_EQ(got.counts.frames[0], 1U);
  EXPECT_EQ(got.counts.bad_checksum, 0U);
  EXPECT_EQ(got.counts.skipped_bytes, 24U);
}

TEST(Splitter, HeldBytesAreCountedOnlyAsBytes) {
  StreamSplitter splitter;
  Recorder recorder;
  const Bytes frame = test::rtcm_1005();
  splitter.push(ByteSpan(frame).first(20), recorder);
  EXPECT_EQ(splitter.counts().bytes, 20U);
  EXPECT_EQ(splitter.counts().skipped_bytes, 0U);
  splitter.push(ByteSpan(frame).subspan(20), recorder);
  EXPECT_EQ(splitter.counts().frames[0], 1U);
}

TEST(Splitter, AfterTheEndItBeginsAfresh) {
  StreamSplitter splitter;
  Recorder recorder;
  const Bytes frame = test::rtcm_1005();
  splitter.push(ByteSpan(frame).first(20), recorder);
  splitter.finish(recorder);
  splitter.push(frame, recorder);
  splitter.finish(recorder);
  ASSERT_EQ(recorder.frames.size(), 1U);
  EXPECT_EQ(recorder.frames[0].offset, 20U);
  EXPECT_EQ(splitter.counts().skipped_bytes, 20U);
  EXPECT_EQ(splitter.counts().bytes, 45U);
}

TEST(Splitter, NothingGivesNothing) {
  const Outcome got = split({}, test::every_rule());
  EXPECT_TRUE(got.frames.empty());
  EXPECT_EQ(got.counts.bytes, 0U);
}

}  // namespace
}  // namespace stillpoint::profile

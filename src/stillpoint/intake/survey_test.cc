#include "stillpoint/intake/survey.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/intake/intake_test_support.h"

namespace stillpoint::intake {
namespace {

const StreamReaderOptions kFile{.decoder = {.day = {}, .era = kStart},
                                .framings = {}};

SurveyReport surveyed(const Bytes& bytes, std::optional<double> seconds = {}) {
  Survey survey(kFile);
  survey.push(bytes);
  survey.finish();
  return survey.report(seconds);
}

// Whether one of the lines holds the words.
bool says(const std::vector<std::string>& lines, std::string_view words) {
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
    return line.find(words) != std::string::npos;
  });
}

// All that a base needs but ephemerides.
Bytes station_stream(int epochs) {
  Bytes bytes;
  for (int t = 0; t < epochs; ++t) {
    append(bytes, epoch_frames(t, kTwoSystems));
    if (t % 5 == 0) {
      append(bytes, position_frame(kPoint, 0.1));
      append(bytes, antenna_frame("SPDEMO-A1 NONE"));
      append(bytes, biases_frame());
    }
  }
  return bytes;
}

// kind: cross, the stream as it was made
// tolerance: 0.0001 m, the step of 1006
TEST(Survey, CountsWhatArrives) {
  const SurveyReport r = surveyed(station_stream(10));
  ASSERT_EQ(r.messages.size(), 5U);  // 1006 1033 1077 1087 1230
  EXPECT_EQ(r.messages[0].type, 1006);
  EXPECT_EQ(r.messages[0].count, 2U);
  EXPECT_EQ(r.messages[0].bytes, 2 * (21U + 6U));
  EXPECT_EQ(r.messages[2].type, 1077);
  EXPECT_EQ(r.messages[2].count, 10U);
  EXPECT_EQ(r.messages[2].rate_hz, 1.0);
  EXPECT_EQ(r.seconds, 9.0);
  EXPECT_EQ(r.epochs.count, 10U);
  EXPECT_EQ(r.epochs.interval_s, 1.0);
  EXPECT_FALSE(r.epochs.first);  // nothing tells the week
  EXPECT_EQ(r.station.id, 5);
  EXPECT_NEAR(r.station.arp_m->x_m, kPoint.x_m, 1e-4);
  EXPECT_EQ(r.station.antenna_height_m, 0.1);
  EXPECT_EQ(r.station.antenna, "SPDEMO-A1 NONE");
  EXPECT_EQ(r.station.receiver, "SPDEMO-R1");
  const auto& gps = r.systems[static_cast<std::size_t>(System::kGps)];
  ASSERT_TRUE(gps);
  EXPECT_EQ(gps->satellites, 1U);
  EXPECT_EQ(gps->signals, (std::vector<std::string>{"1C", "2W"}));
  EXPECT_FALSE(r.systems[static_cast<std::size_t>(System::kGalileo)]);
  EXPECT_EQ(r.bad_crc + r.malformed + r.skipped_bytes, 0U);
}

TEST(Survey, ACompleteStationLacksOnlyItsEphemerides) {
  const SurveyReport r = surveyed(station_stream(10));
  EXPECT_EQ(r.lacks,
            (std::vector<std::string>{"no ephemerides of GPS (1019)",
                                      "no ephemerides of GLONASS (1020)"}));
}

TEST(Survey, NamesWhatABaseLacks) {
  Bytes bytes;
  const Rows one{{{System::kGps, 7}, {row("1C", 2.1e7)}},
                 {{System::kGlonass, 3}, {row("1C", 2e7), row("2C", 2e7)}}};
  for (int t = 0; t < 3; ++t) {
    append(bytes, epoch_frames(30 * t, one));
  }
  const auto lacks = surveyed(bytes).lacks;
  EXPECT_TRUE(says(lacks, "no coordinate (1005 or 1006)"));
  EXPECT_TRUE(says(lacks, "no antenna descriptor"));
  EXPECT_TRUE(says(lacks, "only one frequency of GPS (1C)"));
  EXPECT_FALSE(says(lacks, "one frequency of GLONASS"));
  EXPECT_TRUE(says(lacks, "no GLONASS code-phase biases"));
  EXPECT_TRUE(says(lacks, "an epoch every 30 s"));
}

TEST(Survey, AChangingStationIdIsNamed) {
  Bytes bytes = epoch_frames(0, kTwoSystems, 5);
  append(bytes, epoch_frames(1, kTwoSystems, 12));
  EXPECT_TRUE(says(surveyed(bytes).lacks, "the station id changes: 5, 12"));
}

TEST(Survey, BytesWithoutFramesAskForTheSpeed) {
  const SurveyReport r = surveyed(Bytes(500, 0x37), 10.0);
  EXPECT_EQ(r.lacks,
            (std::vector<std::string>{
                "bytes arrive but no frame in them: wrong speed?"}));
  EXPECT_EQ(r.skipped_bytes, 500U);
  EXPECT_FALSE(r.any_frame());
  EXPECT_EQ(surveyed({}, 10.0).lacks,
            (std::vector<std::string>{"no bytes arrive"}));
}

TEST(Survey, NmeaAloneIsNoBase) {
  const SurveyReport r = surveyed(
      text(nmea::frame_sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,")), 10.0);
  ASSERT_EQ(r.nmea.size(), 1U);
  EXPECT_EQ(r.nmea[0].type, "GGA");
  EXPECT_TRUE(says(r.lacks, "no observations"));
}

TEST(Survey, EmptyFramesHaveNoType) {
  Bytes bytes = rtcm::make_frame({});
  append(bytes, station_stream(1));
  const SurveyReport r = surveyed(bytes);
  EXPECT_EQ(r.messages[0].type, std::nullopt);
  EXPECT_EQ(r.messages[0].count, 1U);
  EXPECT_EQ(r.messages[0].bytes, 6U);
}

TEST(Survey, MessagesThatAreNotReadAreCountedToo) {
  const Bytes opaque{0xFF, 0x70, 0x01};  // 4087
  const SurveyReport r = surveyed(rtcm::make_frame(opaque), 2.0);
  ASSERT_EQ(r.messages.size(), 1U);
  EXPECT_EQ(r.messages[0].type, 4087);
  EXPECT_FALSE(r.messages[0].decoded);
  EXPECT_EQ(r.messages[0].rate_hz, 0.5);
}

TEST(Survey, AMessageTooShortForItsTypeIsMalformed) {
  const Bytes cut{0x3E, 0xD0, 0x05};  // 1005 and no more
  EXPECT_EQ(surveyed(rtcm::make_frame(cut)).malformed, 1U);
}

TEST(Survey, AReceiveTimeTellsTheWeek) {
  Survey survey(kFile);
  survey.push(station_stream(3), kStart + Duration{100});
  survey.finish();
  const SurveyReport r = survey.report(3.0);
  EXPECT_EQ(r.epochs.first, kStart);
  EXPECT_EQ(r.epochs.last, kStart + Duration{2});
}

TEST(Survey, AnyCutOfTheBytesGivesTheSame) {
  const Bytes bytes = station_stream(4);
  const SurveyReport whole = surveyed(bytes);
  Survey survey(kFile);
  for (const std::uint8_t byte : bytes) {
    survey.push({&byte, 1});
  }
  survey.finish();
  const SurveyReport r = survey.report(std::nullopt);
  EXPECT_EQ(r.lacks, whole.lacks);
  EXPECT_EQ(r.epochs.count, whole.epochs.count);
  EXPECT_EQ(r.messages.size(), whole.messages.size());
}

TEST(Contradictions, PointsOf1005And1006) {
  Bytes bytes = station_stream(1);
  append(bytes, position_frame(kPoint + Ecef{1, 0, 0}));
  EXPECT_TRUE(says(surveyed(bytes).lacks,
                   "1005 and 1006 contradict each other: their "
                   "points are 1.000 m apart"));
}

TEST(Contradictions, ACoordinateThatChanges) {
  Bytes bytes = station_stream(1);
  append(bytes, position_frame(kPoint + Ecef{0, 0.5, 0}, 0.1));
  EXPECT_TRUE(says(surveyed(bytes).lacks, "by up to 0.500 m"));
}

TEST(Contradictions, AntennasOfTwoMessages) {
  Bytes bytes = station_stream(1);
  append(bytes, antenna_frame("SPDEMO-A2 NONE", 1008));
  EXPECT_TRUE(
      says(surveyed(bytes).lacks, "1008 and 1033 contradict each other"));
}

}  // namespace
}  // namespace stillpoint::intake

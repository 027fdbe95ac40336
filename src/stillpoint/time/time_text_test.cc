#include <gtest/gtest.h>

#include <string>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

std::string utc_of(const char* text) {
  const auto t = parse_time(text);
  return t ? format_utc(*t) : "refused: " + t.error().what;
}

std::string gpst_of(const char* text) {
  const auto t = parse_time(text);
  return t ? format_gpst(*t) : "refused: " + t.error().what;
}

TEST(ParseTime, ASuffixIsUtcAndNoSuffixIsGpst) {
  EXPECT_EQ(utc_of("2020-06-25T12:00:00Z"), "2020-06-25T12:00:00Z");
  EXPECT_EQ(gpst_of("2020-06-25T12:00:00Z"), "2020-06-25T12:00:18");
  EXPECT_EQ(gpst_of("2020-06-25T12:00:00"), "2020-06-25T12:00:00");
  EXPECT_EQ(gpst_of("2020-06-25"), "2020-06-25T00:00:00");
  EXPECT_EQ(utc_of("2020-06-25t12:00:00z"), "2020-06-25T12:00:00Z");
}

TEST(ParseTime, OffsetsLeadToUtc) {
  EXPECT_EQ(utc_of("2020-06-25T12:00:00+05:30"), "2020-06-25T06:30:00Z");
  EXPECT_EQ(utc_of("2020-12-31T20:00:00-08:00"), "2021-01-01T04:00:00Z");
  EXPECT_EQ(utc_of("2020-06-25T12:00:00-00:00"), "2020-06-25T12:00:00Z");
  EXPECT_EQ(utc_of("2016-12-31T15:59:60-08:00"), "2016-12-31T23:59:60Z");
  EXPECT_EQ(utc_of("2017-01-01T05:29:60.25+05:30"), "2016-12-31T23:59:60.25Z");
}

TEST(ParseTime, DecimalsAreKeptToTheNanosecond) {
  EXPECT_EQ(gpst_of("2020-06-25T12:00:00.5"), "2020-06-25T12:00:00.5");
  EXPECT_EQ(utc_of("2020-06-25T12:00:00.123456789Z"),
            "2020-06-25T12:00:00.123456789Z");
  EXPECT_EQ(utc_of("2020-06-25T12:00:00.1234567899Z"),
            "2020-06-25T12:00:00.123456789Z");
  EXPECT_EQ(gpst_of("2020-06-25T12:00:59.999999999"),
            "2020-06-25T12:00:59.999999999");
}

TEST(ParseTime, ADecimalYearIsGpst) {
  EXPECT_EQ(*parse_time("2024.9"), from_decimal_year(2024.9));
  EXPECT_EQ(gpst_of("2015.0"), "2015-01-01T00:00:00");
  EXPECT_EQ(gpst_of("2015"), "2015-01-01T00:00:00");
}

TEST(ParseTime, WhatIsNoTimeIsAUsageErrorThatSaysWhatIsAllowed) {
  for (const char* text : {"",
                           "x",
                           "Z",
                           "20",
                           "2024.",
                           "2024.9x",
                           "1899.9",
                           "2200.5",
                           "-2024.9",
                           "2024e3",
                           "2020-06",
                           "2020-6-25",
                           "2020-06-25Z",
                           "2020-06-25T",
                           "2020-06-25T12",
                           "2020-06-25T12:00:00.",
                           "2020-06-25T12:00:00.Z",
                           "2020-06-25T12:00:00ZZ",
                           "2020-06-25T12:00:00+5:30",
                           "2020-06-25T12:00:00+24:00",
                           "2020-06-25T12:00:00+05:60",
                           "2020-06-25T12:00:00 Z",
                           " 2020-06-25",
                           "2023-02-29",
                           "2020-06-25T24:00:00Z",
                           "2020-06-25T23:59:60Z",
                           "2016-12-31T23:59:60",
                           "2016-12-31T23:59:60+01:00",
                           "2020-06-25T12:00:00\xff"}) {
    const auto t = parse_time(text);
    ASSERT_FALSE(t.has_value()) << text;
    EXPECT_EQ(t.error().code, ErrorCode::kUsage) << text;
    EXPECT_NE(t.error().remedy.find("2024.9"), std::string::npos);
  }
}

// kind: cross, format against parse   tolerance: none
TEST(FormatUtc, IsReadBackToTheSameInstant) {
  const GnssTime start = *parse_time("2016-12-31T23:59:58Z");
  for (int i = 0; i < 400; ++i) {
    const GnssTime t = GnssTime::from_ns(start.ns() + i * 12'345'679LL);
    EXPECT_EQ(*parse_time(format_utc(t)), t);
    EXPECT_EQ(*parse_time(format_gpst(t)), t);
  }
}

}  // namespace
}  // namespace stillpoint

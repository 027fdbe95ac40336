#include "stillpoint/datum/frame_at.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

TEST(ParseFrameAt, TakesADecimalYearADateATimeOrNoEpoch) {
  const auto year = parse_frame_at("ITRF2014@2020.48");
  ASSERT_TRUE(year.has_value());
  EXPECT_EQ(year->first, "ITRF2014");
  EXPECT_EQ(year->second, from_decimal_year(2020.48));
  const auto date = parse_frame_at("IGb14@2020-06-25");
  ASSERT_TRUE(date.has_value());
  EXPECT_EQ(date->first, "IGb14");
  EXPECT_EQ(date->second, *parse_time("2020-06-25T00:00:00"));
  const auto utc = parse_frame_at("IGS20@2024-11-23T12:00:00Z");
  ASSERT_TRUE(utc.has_value());
  EXPECT_EQ(utc->second, *parse_time("2024-11-23T12:00:18"));
  const auto bare = parse_frame_at("ITRF2014");
  ASSERT_TRUE(bare.has_value());
  EXPECT_EQ(bare->first, "ITRF2014");
  EXPECT_FALSE(bare->second.has_value());
}

TEST(ParseFrameAt, KeepsTheNameAsTypedWithoutBlanksAtItsEnds) {
  EXPECT_EQ(parse_frame_at(" itrf2014 @ 2020.0 ")->first, "itrf2014");
  EXPECT_EQ(parse_frame_at("WGS 84@2020")->first, "WGS 84");
  EXPECT_EQ(parse_frame_at("NAD83(2011)@2010.0")->first, "NAD83(2011)");
}

TEST(ParseFrameAt, WhatIsNotAFrameIsAUsageErrorThatSaysTheForm) {
  for (const char* text :
       {"", " ", "@2020.0", "ITRF2014@", "ITRF2014@ ", "ITRF2014@2020@2021"}) {
    const auto got = parse_frame_at(text);
    ASSERT_FALSE(got.has_value()) << text;
    EXPECT_EQ(got.error().code, ErrorCode::kUsage) << text;
    EXPECT_NE(got.error().remedy.find("ITRF2014@2020.48"), std::string::npos);
  }
  for (const char* text :
       {"ITRF2014@soon", "ITRF2014@2020-02-30", "ITRF2014@1e3"}) {
    const auto got = parse_frame_at(text);
    ASSERT_FALSE(got.has_value()) << text;
    EXPECT_EQ(got.error().code, ErrorCode::kUsage) << text;
  }
}

}  // namespace
}  // namespace stillpoint

#include "stillpoint/compose/own_frames.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/rtcm/raw_station.h"
#include "stillpoint/rtcm/safe_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::compose {
namespace {

GnssTime utc(const Calendar& c) {
  return from_calendar(c, TimeScale::kUtc).value();
}

std::string repeated(const std::string& text, int times) {
  std::string all;
  for (int i = 0; i < times; ++i) {
    all += text;
  }
  return all;
}

TEST(FittingText, ShortTextsStay) {
  EXPECT_EQ(fitting_text(""), "");
  EXPECT_EQ(fitting_text("Doubtful: Gr\xC3\xBC\xC3\x9F"
                         "e."),
            "Doubtful: Gr\xC3\xBC\xC3\x9F"
            "e.");
}

TEST(FittingText, At127CharactersItIsCut) {
  EXPECT_EQ(fitting_text(std::string(127, 'x')), std::string(127, 'x'));
  EXPECT_EQ(fitting_text(std::string(400, 'x')), std::string(127, 'x'));
  // 127 characters of two bytes: 254.
  EXPECT_EQ(fitting_text(repeated("\xC3\xBC", 200)), repeated("\xC3\xBC", 127));
}

TEST(FittingText, At255BytesItIsCutBetweenCharacters) {
  EXPECT_EQ(fitting_text(repeated("\xE2\x82\xAC", 100)),
            repeated("\xE2\x82\xAC", 85));  // 255
  EXPECT_EQ(fitting_text(repeated("\xF0\x9F\x9B\xB0", 100)),
            repeated("\xF0\x9F\x9B\xB0", 63));  // 252, four more do not fit
  EXPECT_EQ(fitting_text("x" + repeated("\xE2\x82\xAC", 100)),
            "x" + repeated("\xE2\x82\xAC", 84));  // 253
}

TEST(FittingText, WhateverComesIsMadeToFit) {
  for (unsigned seed = 1; seed < 300; ++seed) {
    std::string bytes;
    unsigned x = seed * 2654435761U;
    for (unsigned i = 0; i < seed; ++i) {
      x = x * 1664525U + 1013904223U;
      bytes.push_back(static_cast<char>(x >> 24));
    }
    const std::string text = fitting_text(bytes);
    const auto characters = rtcm::utf8_length(text);
    ASSERT_TRUE(characters) << seed;
    EXPECT_LE(*characters, 127U);
    EXPECT_LE(text.size(), 255U);
    EXPECT_FALSE(text_frame(1, text, kStart).empty());
  }
}

rtcm::RawText sent_at(GnssTime now) {
  return decoded<rtcm::RawText>(text_frame(12, "x", now));
}

// kind: published   source: MJD 51544 begins 2000-01-01 (common practice, no
// source); IERS Bulletin C 52: 23:59:60 on 2016-12-31, from memory
TEST(TextFrame, DatesAndSecondsAreUtc) {
  EXPECT_EQ(sent_at(utc({2000, 1, 1, 0, 0, 0})).mjd, 51544);
  EXPECT_EQ(sent_at(utc({2000, 1, 1, 0, 0, 0})).second_of_day, 0U);
  const auto end = sent_at(utc({2016, 12, 31, 23, 59, 59.9}));
  EXPECT_EQ(end.mjd, 57753);
  EXPECT_EQ(end.second_of_day, 86'399U);
  const auto leap = sent_at(utc({2016, 12, 31, 23, 59, 60.5}));
  EXPECT_EQ(leap.mjd, 57753);
  EXPECT_EQ(leap.second_of_day, 86'400U);
  const auto next = sent_at(utc({2017, 1, 1, 0, 0, 0.5}));
  EXPECT_EQ(next.mjd, 57754);
  EXPECT_EQ(next.second_of_day, 0U);
}

// kind: cross   a definition: 16 bits; MJD 65535 is 2038-04-22
TEST(TextFrame, DaysBeyondTheFieldBeginAnew) {
  EXPECT_EQ(sent_at(utc({2038, 4, 22, 12, 0, 0})).mjd, 65'535);
  EXPECT_EQ(sent_at(utc({2038, 4, 23, 12, 0, 0})).mjd, 0);
}

TEST(PositionFrame, HalfStepsAreRoundedToTheNearest) {
  rtcm::StationPosition p;
  p.arp_m = {4'278'000.00004, -671'000.00006, 4'665'000.00016};
  const Bytes frame = position_frame(p).value();
  const auto raw = decoded<rtcm::RawStationPosition>(frame);
  EXPECT_EQ(raw.x, 42'780'000'000);
  EXPECT_EQ(raw.y, -6'710'000'001);
  EXPECT_EQ(raw.z, 46'650'000'002);
}

}  // namespace
}  // namespace stillpoint::compose

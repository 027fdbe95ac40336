// Days, health and accuracy of message 1020.
#include <cmath>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rtcm/ephemeris_loop_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

GnssTime at(const char* text) {
  return parse_time(text).value_or(GnssTime{});
}

// An invented set of 2018-07-15 (day 927 of the sixth four years), 02:45
// Moscow time, sent a quarter of an hour before.
RawGlonassEphemeris message() {
  RawGlonassEphemeris m;
  m.slot = 20;
  m.channel = 9;
  m.almanac_healthy = m.almanac_present = true;
  m.p1 = 1;
  m.tk = 2 << 7 | 30 << 1;
  m.p2 = true;
  m.tb = 11;
  m.x = SignMagnitude::of(-14'000'000);
  m.y = SignMagnitude::of(30'000'001);
  m.z = SignMagnitude::of(40'000'000);
  m.vx = SignMagnitude::of(2'000'000);
  m.vy = SignMagnitude::of(-1'500'003);
  m.vz = SignMagnitude::of(1'700'000);
  m.ax = SignMagnitude::of(-1);
  m.az = SignMagnitude::of(3);
  m.gamma = SignMagnitude::of(-2);
  m.tau = SignMagnitude::of(123'456);
  m.delta_tau = SignMagnitude::of(5);
  m.ft = 4;
  m.nt = 927;
  m.m = 1;
  m.additional = true;
  m.na = 926;
  m.n4 = 6;
  return m;
}

const GnssTime kToe = at("2018-07-14T23:45:00Z");

GnssTime toe_of(const RawGlonassEphemeris& m, GnssTime near) {
  const auto e = to_ephemeris(m, near);
  EXPECT_TRUE(e);
  return e ? e->toe : GnssTime{};
}

TEST(GlonassEphemeris, CalendarWinsOverAnInexactNear) {
  EXPECT_EQ(toe_of(message(), kToe), kToe);
  EXPECT_EQ(toe_of(message(), kToe + Duration{20 * 3600.0}), kToe);
  EXPECT_EQ(toe_of(message(), at("2012-01-01")), kToe);
  EXPECT_EQ(toe_of(message(), at("2027-01-01")), kToe);
}

TEST(GlonassEphemeris, WithoutAdditionalDataTheDayOfFourYearsCounts) {
  RawGlonassEphemeris m = message();
  m.additional = false;
  m.n4 = 3;  // as a converter in a real stream writes it
  EXPECT_EQ(toe_of(m, kToe), kToe);
  EXPECT_EQ(toe_of(m, at("2018-11-01")), kToe);
  // At the end of four years the neighbours count as well.
  m.nt = 1461;
  EXPECT_EQ(toe_of(m, at("2020-01-02")), at("2019-12-30T23:45:00Z"));
  m.nt = 1;
  EXPECT_EQ(toe_of(m, at("2019-12-30")), at("2019-12-31T23:45:00Z"));
}

TEST(GlonassEphemeris, WithoutADayTheNearestOneIsTaken) {
  RawGlonassEphemeris m = message();
  m.nt = 0;
  EXPECT_EQ(toe_of(m, at("2018-07-15T06:00:00Z")), kToe);
  EXPECT_EQ(toe_of(m, at("2018-07-14T12:00:00Z")), kToe);
  EXPECT_EQ(toe_of(m, at("2018-07-14T11:00:00Z")), kToe - Duration{86'400});
  // A day more than half a year away is not believed.
  m.nt = 300;
  m.additional = false;
  EXPECT_EQ(toe_of(m, kToe), kToe);
  // Nor one of another decade, whatever the message says.
  m = message();
  m.n4 = 1;
  m.nt = 1;
  EXPECT_EQ(toe_of(m, kToe), kToe);
}

TEST(GlonassEphemeris, FrameTimeBelongsToTheReferenceTime) {
  RawGlonassEphemeris m = message();
  EXPECT_EQ(to_ephemeris(m, kToe)->transmitted, at("2018-07-14T23:30:00Z"));
  m.tb = 95;  // 23:45
  m.tk = 0 << 7 | 10 << 1 | 1;
  EXPECT_EQ(to_ephemeris(m, kToe)->transmitted, at("2018-07-15T21:10:30Z"));
  m.tk = 3 << 7;
  EXPECT_FALSE(to_ephemeris(m, kToe)->transmitted);
  m.tk = 24 << 7;
  EXPECT_FALSE(to_ephemeris(m, kToe)->transmitted);
  m.tk = 23 << 7 | 60 << 1;
  EXPECT_FALSE(to_ephemeris(m, kToe)->transmitted);
}

TEST(GlonassEphemeris, HealthBitsHaveTheirPlaces) {
  RawGlonassEphemeris m = message();
  EXPECT_EQ(to_ephemeris(m, kToe)->health, 0);
  m.bn_top_bit = true;
  EXPECT_FALSE(is_healthy(*to_ephemeris(m, kToe)));
  m = message();
  m.ln_third = true;
  EXPECT_FALSE(is_healthy(*to_ephemeris(m, kToe)));
  m = message();
  m.ln_fifth = true;
  EXPECT_FALSE(is_healthy(*to_ephemeris(m, kToe)));
  m.additional = false;
  EXPECT_TRUE(is_healthy(*to_ephemeris(m, kToe)));
  m = message();
  m.almanac_healthy = false;
  EXPECT_EQ(to_ephemeris(m, kToe)->health,
            static_cast<int>(kGlonassUnhealthyAlmanac));
  m.almanac_present = false;
  EXPECT_EQ(to_ephemeris(m, kToe)->health, 0);
}

TEST(GlonassEphemeris, UnknownAccuracyIsNone) {
  RawGlonassEphemeris m = message();
  EXPECT_EQ(to_ephemeris(m, kToe)->accuracy_m, 5.0);
  m.ft = 15;
  EXPECT_TRUE(std::isnan(to_ephemeris(m, kToe)->accuracy_m));
  m.ft = 0;
  EXPECT_EQ(to_ephemeris(m, kToe)->accuracy_m, 1.0);
  m.m = 0;
  EXPECT_TRUE(std::isnan(to_ephemeris(m, kToe)->accuracy_m));
}

TEST(GlonassEphemeris, ComesBack) {
  const auto kept = [](const RawGlonassEphemeris& m) {
    const RawGlonassEphemeris again = eph_test::through_value(m, kToe);
    EXPECT_EQ(again, eph_test::neutral(m));
  };
  RawGlonassEphemeris m = message();
  kept(m);
  m.ln_fifth = true;
  kept(m);
  m.bn_top_bit = m.ln_third = true;
  m.almanac_healthy = false;
  kept(m);
  m.ax = {true, 0};  // minus zero
  m.x = SignMagnitude::of(-(1 << 26) + 1);
  m.y = m.z = SignMagnitude::of(1000);
  m.vx = m.vy = SignMagnitude::of(-(1 << 22) - 1);
  m.gamma = SignMagnitude::of(-1023);
  m.tau = SignMagnitude::of((1 << 21) - 1);
  m.delta_tau = SignMagnitude::of(-15);
  m.channel = 20;
  m.ft = 15;
  kept(m);
}

TEST(GlonassEphemeris, WhatAFileDoesNotSayIsNeutral) {
  StateEphemeris e = *to_ephemeris(message(), kToe);
  e.transmitted.reset();
  e.l2_minus_l1_s = e.accuracy_m = kMissing;
  const auto m = to_raw_glonass(e);
  ASSERT_TRUE(m);
  EXPECT_EQ(m->tk, 2 << 7 | 30 << 1);
  EXPECT_EQ(m->delta_tau, SignMagnitude{});
  EXPECT_EQ(m->ft, 15);
  EXPECT_FALSE(m->additional);
  EXPECT_EQ(m->n4, 6);
  EXPECT_EQ(m->nt, 927);
  e.health = 0b100;  // a file may keep all of B_n
  EXPECT_TRUE(to_raw_glonass(e)->bn_top_bit);
}

TEST(GlonassEphemeris, RefusesWhatCannotBe) {
  RawGlonassEphemeris m = message();
  m.slot = 0;
  EXPECT_EQ(to_ephemeris(m, kToe).error().code, ErrorCode::kOutOfRange);
  m = message();
  m.tb = 96;
  EXPECT_EQ(to_ephemeris(m, kToe).error().code, ErrorCode::kOutOfRange);
  EXPECT_FALSE(full_week_hint(m));
  m = message();
  m.channel = 21;
  EXPECT_EQ(to_ephemeris(m, kToe).error().code, ErrorCode::kOutOfRange);
  EXPECT_FALSE(to_ephemeris(RawGlonassEphemeris{}, kToe));

  const StateEphemeris good = *to_ephemeris(message(), kToe);
  StateEphemeris e = good;
  e.toe = e.toe + Duration{1};
  EXPECT_EQ(to_raw_glonass(e).error().code, ErrorCode::kOutOfRange);
  e = good;
  e.channel = 25;
  EXPECT_EQ(to_raw_glonass(e).error().code, ErrorCode::kOutOfRange);
  e = good;
  e.position_m.x_m = 4e7;
  EXPECT_EQ(to_raw_glonass(e).error().code, ErrorCode::kOutOfRange);
  e.position_m.x_m = kMissing;
  EXPECT_EQ(to_raw_glonass(e).error().code, ErrorCode::kOutOfRange);
  e = good;
  e.message = NavMessage::kSbas;
  EXPECT_EQ(to_raw_glonass(e).error().code, ErrorCode::kUnsupported);
}

TEST(GlonassEphemeris, WeekHintNeedsTheAdditionalData) {
  RawGlonassEphemeris m = message();
  EXPECT_EQ(full_week_hint(m), 2009);
  // t_b of 03:15 is in the next week, t_k of 02:59 still in this one.
  m.tb = 13;
  m.tk = 2 << 7 | 59 << 1;
  EXPECT_EQ(full_week_hint(m), 2009);
  m.tk = 3 << 7;
  EXPECT_EQ(full_week_hint(m), 2010);
  m.additional = false;
  EXPECT_FALSE(full_week_hint(m));
  m = message();
  m.n4 = 0;
  EXPECT_FALSE(full_week_hint(m));
}

}  // namespace
}  // namespace stillpoint::rtcm

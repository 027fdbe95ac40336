#include "stillpoint/rtcm/legacy_map.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::rtcm {
namespace {

constexpr double kLightMs = 299792.458;

RawLegacySatellite satellite(unsigned number) {
  RawLegacySatellite s;
  s.satellite = static_cast<std::uint8_t>(number);
  s.l1_code = 14'103'000;  // 282060.00 m
  s.l1_phase = -61'709;    // -30.8545 m
  s.l1_lock = 127;
  s.l1_whole = 75;
  s.l1_cn0 = 172;
  s.l2_signal = 3;
  s.l2_code = 417;       // 8.34 m
  s.l2_phase = -88'290;  // -44.145 m
  s.l2_lock = 50;
  s.l2_cn0 = 125;
  return s;
}

RawLegacyGps gps(int type, const RawLegacySatellite& s) {
  RawLegacyGps raw;
  raw.type = static_cast<std::uint16_t>(type);
  raw.satellites = {s};
  return raw;
}

RawLegacyGlonass glonass(int type, const RawLegacySatellite& s) {
  RawLegacyGlonass raw;
  raw.type = static_cast<std::uint16_t>(type);
  raw.satellites = {s};
  return raw;
}

template <class Message>
std::vector<LegacyRow> rows_of(const Message& raw) {
  std::vector<LegacyRow> rows;
  to_rows(raw, rows);
  return rows;
}

// kind: published   source: the first satellite of the logged frame 1004 in
// rtcm_legacy.vec, put together after the definitions of DF011 to DF020
// tolerance: 1e-6 m and 1e-6 cycles, rounding of 2e7 m
TEST(LegacyRows, RangesAndPhasesAreWhole) {
  const auto rows = rows_of(gps(1004, satellite(2)));
  ASSERT_EQ(rows.size(), 2U);
  const double code_m = 75 * kLightMs + 282060.0;
  EXPECT_EQ(rows[0].sat, (SatId{System::kGps, 2}));
  EXPECT_EQ(rows[0].observation.signal, (SignalCode{'1', 'C'}));
  EXPECT_NEAR(rows[0].observation.code_m, code_m, 1e-6);
  EXPECT_NEAR(rows[0].observation.phase_cyc,
              (code_m - 30.8545) * 1575.42e6 / 299792458.0,
              1e-6);
  EXPECT_EQ(rows[0].observation.cn0_dbhz, 43.0);
  EXPECT_EQ(rows[0].lock_min_s, 937);
  EXPECT_TRUE(std::isinf(rows[0].lock_below_s));
  EXPECT_EQ(rows[1].observation.signal, (SignalCode{'2', 'W'}));
  EXPECT_NEAR(rows[1].observation.code_m, code_m + 8.34, 1e-6);
  EXPECT_NEAR(rows[1].observation.phase_cyc,
              (code_m - 44.145) * 1227.60e6 / 299792458.0,
              1e-6);
  EXPECT_EQ(rows[1].observation.cn0_dbhz, 31.25);
  EXPECT_EQ(rows[1].lock_min_s, 80);  // 4 * 50 - 120
  EXPECT_EQ(rows[1].lock_below_s, 84);
  EXPECT_FALSE(rows[1].glonass_channel.has_value());
}

// kind: cross   a light-millisecond is a whole number of cycles
// tolerance: 1e-6 cycles
TEST(LegacyRows, WithoutWholeMillisecondsThePhaseKeepsItsFraction) {
  const auto exact = rows_of(gps(1004, satellite(2)));
  const auto open = rows_of(gps(1003, satellite(2)));
  ASSERT_EQ(open.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_FALSE(is_present(open[i].observation.code_m));
    EXPECT_FALSE(is_present(open[i].observation.cn0_dbhz));
    const double apart =
        exact[i].observation.phase_cyc - open[i].observation.phase_cyc;
    const double ms_cyc = i == 0 ? 1'575'420 : 1'227'600;
    EXPECT_NEAR(apart, 75 * ms_cyc, 1e-6);
  }
}

TEST(LegacyRows, SingleFrequencyMessagesHaveNoSecondRow) {
  EXPECT_EQ(rows_of(gps(1001, satellite(2))).size(), 1U);
  EXPECT_EQ(rows_of(gps(1002, satellite(2))).size(), 1U);
}

// kind: cross   DF041 counts modulo two light-milliseconds, DF040 is channel+7
// tolerance: 1e-6 m, 1e-6 cycles
TEST(LegacyRows, GlonassHasItsOwnUnits) {
  RawLegacySatellite s = satellite(24);
  s.channel = 9;
  s.l1_signal = 1;
  s.l2_signal = 1;
  s.l1_whole = 37;
  const auto rows = rows_of(glonass(1012, s));
  ASSERT_EQ(rows.size(), 2U);
  const double code_m = 37 * 599584.916 + 282060.0;
  EXPECT_EQ(rows[0].sat, (SatId{System::kGlonass, 24}));
  EXPECT_EQ(rows[0].glonass_channel, 2);
  EXPECT_EQ(rows[0].observation.signal, (SignalCode{'1', 'P'}));
  EXPECT_EQ(rows[1].observation.signal, (SignalCode{'2', 'P'}));
  EXPECT_NEAR(rows[0].observation.code_m, code_m, 1e-6);
  EXPECT_NEAR(rows[0].observation.phase_cyc,
              (code_m - 30.8545) * (1602e6 + 2 * 562.5e3) / 299792458.0,
              1e-6);
  EXPECT_NEAR(rows[1].observation.phase_cyc,
              (code_m - 44.145) * (1246e6 + 2 * 437.5e3) / 299792458.0,
              1e-6);
}

TEST(LegacyRows, IndicatorsChooseTheSignal) {
  const char letters[] = {'X', 'P', 'D', 'W'};
  for (unsigned i = 0; i < 4; ++i) {
    RawLegacySatellite s = satellite(32);
    s.l1_signal = i % 2;
    s.l2_signal = static_cast<std::uint8_t>(i);
    const auto rows = rows_of(gps(1004, s));
    ASSERT_EQ(rows.size(), 2U);
    EXPECT_EQ(rows[0].observation.signal.attribute, i % 2 == 0 ? 'C' : 'P');
    EXPECT_EQ(rows[1].observation.signal, (SignalCode{'2', letters[i]}));
  }
  RawLegacySatellite reserved = satellite(1);
  reserved.channel = 7;
  reserved.l2_signal = 2;
  EXPECT_EQ(rows_of(glonass(1012, reserved)).size(), 1U);
}

TEST(LegacyRows, InvalidCodesAreMissing) {
  RawLegacySatellite s = satellite(5);
  s.l2_code = kNoLegacyCode;
  s.l2_cn0 = 0;
  auto rows = rows_of(gps(1004, s));
  ASSERT_EQ(rows.size(), 2U);
  EXPECT_FALSE(is_present(rows[1].observation.code_m));
  EXPECT_TRUE(is_present(rows[1].observation.phase_cyc));
  EXPECT_FALSE(is_present(rows[1].observation.cn0_dbhz));

  s.l2_phase = kNoLegacyPhase;
  EXPECT_EQ(rows_of(gps(1004, s)).size(), 1U) << "nothing left of L2";

  s = satellite(5);
  s.l1_phase = kNoLegacyPhase;
  rows = rows_of(gps(1004, s));
  ASSERT_EQ(rows.size(), 2U) << "its C/N0 says that L1 was measured";
  EXPECT_TRUE(is_present(rows[0].observation.code_m));
  EXPECT_FALSE(is_present(rows[0].observation.phase_cyc));

  s.l1_cn0 = 0;
  rows = rows_of(gps(1004, s));
  ASSERT_EQ(rows.size(), 1U) << "the code of L1 is but the reference";
  EXPECT_EQ(rows[0].observation.signal.band, '2');
  EXPECT_TRUE(is_present(rows[0].observation.code_m));
  EXPECT_TRUE(is_present(rows[0].observation.phase_cyc));
}

// As the receiver of legacy-beside-msm7.rtcm3 sends it.
TEST(LegacyRows, ChannelWithoutAnyPhaseIsNotBelieved) {
  RawLegacySatellite s = satellite(7);
  s.l2_signal = 1;
  s.l1_phase = kNoLegacyPhase;
  EXPECT_EQ(rows_of(glonass(1010, s))[0].glonass_channel, std::nullopt);
  EXPECT_EQ(rows_of(glonass(1012, s))[0].glonass_channel, -7);
  s.l2_phase = kNoLegacyPhase;
  const auto rows = rows_of(glonass(1012, s));
  ASSERT_EQ(rows.size(), 2U);
  EXPECT_TRUE(is_present(rows[0].observation.code_m));
  EXPECT_EQ(rows[0].glonass_channel, std::nullopt);
}

TEST(LegacyRows, NumbersAbove32AreSbasOrNothing) {
  const auto first = rows_of(gps(1004, satellite(40)));
  ASSERT_EQ(first.size(), 1U) << "SBAS has no L2";
  EXPECT_EQ(first[0].sat, (SatId{System::kSbas, 20}));  // PRN 120
  EXPECT_EQ(rows_of(gps(1002, satellite(58)))[0].sat,
            (SatId{System::kSbas, 38}));  // PRN 138
  for (const unsigned reserved : {0U, 33U, 39U, 59U, 63U}) {
    EXPECT_TRUE(rows_of(gps(1004, satellite(reserved))).empty()) << reserved;
  }
}

TEST(LegacyRows, UnknownSlotsAreLeftOutAndUnknownChannelsHaveNoPhase) {
  for (const unsigned slot : {0U, 25U, 63U}) {
    EXPECT_TRUE(rows_of(glonass(1012, satellite(slot))).empty()) << slot;
  }
  RawLegacySatellite s = satellite(1);
  s.channel = 20;
  EXPECT_EQ(rows_of(glonass(1010, s))[0].glonass_channel, 13);
  s.channel = 21;
  const auto rows = rows_of(glonass(1010, s));
  ASSERT_EQ(rows.size(), 1U);
  EXPECT_EQ(rows[0].glonass_channel, std::nullopt);
  EXPECT_TRUE(is_present(rows[0].observation.code_m));
  EXPECT_FALSE(is_present(rows[0].observation.phase_cyc));
}

// kind: published   source: RTCM 10403.3, table 3.4-2, from memory (shared
// checks, rtcm_locktime.json); tolerance: 0, whole seconds
TEST(LegacyLock, SegmentsAreThoseOfTheTable) {
  const unsigned codes[] = {
      0, 23, 24, 47, 48, 71, 72, 95, 96, 119, 120, 126, 127};
  const double starts[] = {
      0, 23, 24, 70, 72, 164, 168, 352, 360, 728, 744, 936, 937};
  for (std::size_t i = 0; i < std::size(codes); ++i) {
    EXPECT_EQ(legacy_lock_min_s(codes[i]), starts[i]) << codes[i];
  }
}

// kind: cross   a definition
TEST(LegacyLock, SegmentsJoinWithoutGap) {
  for (unsigned code = 0; code < 127; ++code) {
    EXPECT_LT(legacy_lock_min_s(code), legacy_lock_below_s(code)) << code;
    EXPECT_EQ(legacy_lock_below_s(code), legacy_lock_min_s(code + 1)) << code;
  }
  EXPECT_TRUE(std::isinf(legacy_lock_below_s(127)));
}

TEST(LegacyLock, EveryTimeIsInTheRangeOfItsIndicator) {
  for (int quarter = 0; quarter < 4000; ++quarter) {
    const double lock_s = quarter / 4.0;
    const unsigned code = legacy_lock_code(lock_s);
    EXPECT_LE(legacy_lock_min_s(code), lock_s);
    EXPECT_GT(legacy_lock_below_s(code), lock_s);
  }
  EXPECT_EQ(legacy_lock_code(-1), 0U);
  EXPECT_EQ(legacy_lock_code(std::nan("")), 0U);
  EXPECT_EQ(legacy_lock_code(1e300), 127U);
}

}  // namespace
}  // namespace stillpoint::rtcm

#include "stillpoint/rtcm/legacy_encode.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "stillpoint/rtcm/codec_test_support.h"
#include "stillpoint/rtcm/legacy_map.h"

namespace stillpoint::rtcm {
namespace {

constexpr double kLightMps = 299792458.0;
constexpr double kL1M = kLightMps / 1575.42e6;
constexpr double kL2M = kLightMps / 1227.60e6;

Observation observation(const char* signal, double code_m, double phase_cyc) {
  Observation o;
  o.signal = {signal[0], signal[1]};
  o.code_m = code_m;
  o.phase_cyc = phase_cyc;
  o.cn0_dbhz = 45.25;
  return o;
}

void add(Epoch& epoch, SatId sat, std::vector<Observation> rows) {
  epoch.satellites.push_back(
      {sat,
       static_cast<std::uint16_t>(rows.size()),
       static_cast<std::uint32_t>(epoch.observations.size())});
  epoch.observations.insert(epoch.observations.end(), rows.begin(), rows.end());
}

Epoch epoch_at(double tow_s) {
  Epoch epoch;
  epoch.time = GnssTime::from_gps_week(2446, tow_s);
  return epoch;
}

const SatId kG07{System::kGps, 7};
const SatId kR03{System::kGlonass, 3};

// The satellite's fields as they come back from the wire.
RawLegacySatellite sent(const Epoch& epoch,
                        int type = 1004,
                        const LegacyEncodeOptions& options = {}) {
  const auto raw = to_raw_legacy_gps(type, epoch, options);
  EXPECT_TRUE(raw.has_value());
  const auto back = decoded<RawLegacyGps>(encode_fields(raw.value()));
  EXPECT_EQ(back, raw.value());
  EXPECT_EQ(back.satellites.size(), 1U);
  return back.satellites.empty() ? RawLegacySatellite{} : back.satellites[0];
}

// kind: cross   closed loop over random ranges and ambiguities
// tolerance: half a step of the fields, 0.01 m and 0.00025 m, and 1e-6 m of
// rounding; phases modulo the 1500 cycles of the roll-over
TEST(LegacyEncode, LoopKeepsCodesAndPhasesWithinHalfAStep) {
  std::mt19937_64 random(20261125);
  std::uniform_real_distribution<double> range_m(1.9e7, 4.2e7);
  std::uniform_real_distribution<double> spread_m(-160, 160);
  std::uniform_int_distribution<int> ambiguity_cyc(-90'000'000, 90'000'000);
  for (int run = 0; run < 2000; ++run) {
    const double code_m = range_m(random);
    const double code2_m = code_m + spread_m(random);
    const double phase_cyc =
        (code_m + spread_m(random)) / kL1M + ambiguity_cyc(random);
    const double phase2_cyc =
        (code_m + spread_m(random)) / kL2M + ambiguity_cyc(random);
    Epoch epoch = epoch_at(1);
    add(epoch,
        kG07,
        {observation("1C", code_m, phase_cyc),
         observation("2W", code2_m, phase2_cyc)});
    std::vector<LegacyRow> rows;
    to_rows(to_raw_legacy_gps(1004, epoch, {}).value(), rows);
    ASSERT_EQ(rows.size(), 2U);
    EXPECT_NEAR(rows[0].observation.code_m, code_m, 0.01 + 1e-6);
    EXPECT_NEAR(rows[1].observation.code_m, code2_m, 0.01 + 1e-6);
    EXPECT_NEAR(std::remainder(rows[0].observation.phase_cyc - phase_cyc, 1500),
                0,
                0.00025 / kL1M + 1e-5);
    EXPECT_NEAR(
        std::remainder(rows[1].observation.phase_cyc - phase2_cyc, 1500),
        0,
        0.00025 / kL2M + 1e-5);
    EXPECT_EQ(rows[0].observation.cn0_dbhz, 45.25);
  }
}

// kind: cross   the roll-over rule: +-262.1435 m, steps of 1500 cycles
// tolerance: 1 unit of 0.0005 m
TEST(LegacyEncode, PhaseRollsOverOnlyBeyondItsField) {
  const double code_m = 73 * 299792.458 + 115000.02;  // no rounding
  const auto field = [&](double apart_m) {
    Epoch epoch = epoch_at(1);
    add(epoch, kG07, {observation("1C", code_m, (code_m + apart_m) / kL1M)});
    return sent(epoch, 1002).l1_phase;
  };
  const double roll_m = 1500 * kL1M;
  EXPECT_NEAR(field(0), 0, 1);
  EXPECT_NEAR(field(262.1), 262.1 / 0.0005, 1);
  EXPECT_NEAR(field(-262.1), -262.1 / 0.0005, 1);
  EXPECT_NEAR(field(262.2), (262.2 - roll_m) / 0.0005, 1);
  EXPECT_NEAR(field(-262.2), (roll_m - 262.2) / 0.0005, 1);
  EXPECT_NEAR(field(262 + 100 * roll_m), 262 / 0.0005, 1);
}

// kind: cross   DF034 is milliseconds of UTC + 3 h, GPST - UTC is 18 s
TEST(LegacyEncode, GlonassCarriesChannelDayAndTwoMillisecondUnits) {
  // 2026-11-25 00:00:18 GPST is midnight UTC, 03:00 of the GLONASS day.
  Epoch epoch = epoch_at(3 * 86400 + 18);
  const double code_m = 2.05e7;
  const double wave_m = kLightMps / (1602e6 - 4 * 562.5e3);
  add(epoch, kR03, {observation("1C", code_m, code_m / wave_m)});
  LegacyEncodeOptions options;
  EXPECT_TRUE(to_raw_legacy_glonass(1010, epoch, options)->satellites.empty())
      << "no channel, no wavelength";
  options.glonass_channel = [](SatId sat) {
    return sat == kR03 ? std::optional(-4) : std::nullopt;
  };
  const auto raw = to_raw_legacy_glonass(1010, epoch, options);
  ASSERT_TRUE(raw.has_value());
  EXPECT_EQ(raw->day_ms, 10'800'000U);
  ASSERT_EQ(raw->satellites.size(), 1U);
  EXPECT_EQ(raw->satellites[0].channel, 3);
  EXPECT_EQ(raw->satellites[0].l1_whole, 34);
  EXPECT_EQ(decoded<RawLegacyGlonass>(encode_fields(*raw)), *raw);
  std::vector<LegacyRow> rows;
  to_rows(*raw, rows);
  ASSERT_EQ(rows.size(), 1U);
  // tolerance: half a step of the fields
  EXPECT_NEAR(rows[0].observation.code_m, code_m, 0.01 + 1e-6);
  EXPECT_NEAR(
      rows[0].observation.phase_cyc, code_m / wave_m, 0.00025 / wave_m + 1e-5);
}

TEST(LegacyEncode, LockTimesAreThoseOfTheCaller) {
  Epoch epoch = epoch_at(1);
  add(epoch, kG07, {observation("1C", 2e7, 0), observation("2L", 2e7, 0)});
  LegacyEncodeOptions options;
  EXPECT_EQ(sent(epoch, 1004, options).l1_lock, 0) << "nobody knows";
  options.lock_s = [](SatId sat, SignalCode signal) {
    EXPECT_EQ(sat, kG07);
    return signal == SignalCode{'1', 'C'} ? 5000.0 : 25.9;
  };
  EXPECT_EQ(sent(epoch, 1004, options).l1_lock, 127);
  EXPECT_EQ(sent(epoch, 1004, options).l2_lock, 24);
}

TEST(LegacyEncode, FirstLetterThatIsThereIsSent) {
  Epoch epoch = epoch_at(1);
  add(epoch,
      kG07,
      {observation("1W", 2e7 + 5, 0),
       observation("1C", 2e7, 0),
       observation("1L", 2e7 - 5, 0),
       observation("2L", 2e7 + 3, 0),
       observation("2W", 2e7 + 4, 0)});
  RawLegacySatellite s = sent(epoch);
  EXPECT_EQ(s.l1_signal, 0);
  EXPECT_EQ(s.l2_signal, 3);
  LegacyEncodeOptions options;
  options.gps_l1 = "LW";  // L1C has no indicator
  options.gps_l2 = "LW";
  s = sent(epoch, 1004, options);
  EXPECT_EQ(s.l1_signal, 1);
  EXPECT_EQ(s.l2_signal, 0);
  EXPECT_EQ(s.l2_code, -100);
}

TEST(LegacyEncode, L2AloneUsesItsCodeAsReference) {
  Epoch epoch = epoch_at(1);
  add(epoch,
      kG07,
      {observation("1C", kMissing, 2e7 / kL1M),
       observation("2W", 2e7, 2e7 / kL2M)});
  const RawLegacySatellite s = sent(epoch);
  EXPECT_EQ(s.l1_phase, kNoLegacyPhase);
  EXPECT_EQ(s.l1_cn0, 0);
  EXPECT_EQ(s.l2_code, 0);
  EXPECT_TRUE(to_raw_legacy_gps(1002, epoch, {})->satellites.empty());
}

TEST(LegacyEncode, MissingValuesBecomeInvalidCodes) {
  Epoch epoch = epoch_at(1);
  Observation l1 = observation("1C", 2e7, 2e7 / kL1M);
  l1.cn0_dbhz = kMissing;
  add(epoch, kG07, {l1, observation("2W", 2e7 + 200, kMissing)});
  const RawLegacySatellite s = sent(epoch);
  EXPECT_EQ(s.l1_cn0, 0);
  EXPECT_EQ(s.l2_code, kNoLegacyCode) << "200 m do not fit";
  EXPECT_EQ(s.l2_phase, kNoLegacyPhase);

  Epoch code_alone = epoch_at(1);
  add(code_alone, kG07, {observation("1C", 2e7, kMissing)});
  EXPECT_EQ(sent(code_alone).l1_cn0, 181);
  EXPECT_EQ(sent(code_alone).l1_phase, kNoLegacyPhase);
  EXPECT_TRUE(to_raw_legacy_gps(1001, code_alone, {})->satellites.empty());

  Epoch nothing = epoch_at(1);
  l1.phase_cyc = kMissing;
  add(nothing, kG07, {l1});
  add(nothing, {System::kGps, 8}, {observation("1C", 1e9, 5)});
  add(nothing, {System::kGps, 9}, {observation("1C", -1, 5)});
  l1.phase_cyc = 1e300;
  add(nothing, {System::kGps, 10}, {l1});
  add(nothing, {System::kGps, 33}, {observation("1C", 2e7, 5)});
  add(nothing, {System::kGalileo, 1}, {observation("1C", 2e7, 5)});
  EXPECT_TRUE(to_raw_legacy_gps(1004, nothing, {})->satellites.empty());
}

TEST(LegacyEncode, SbasGoesWithGps) {
  Epoch epoch = epoch_at(1);
  add(epoch, {System::kSbas, 23}, {observation("1C", 3.8e7, 3.8e7 / kL1M)});
  const RawLegacySatellite s = sent(epoch);
  EXPECT_EQ(s.satellite, 43);
  EXPECT_EQ(s.l2_phase, kNoLegacyPhase);
  Epoch beyond = epoch_at(1);
  add(beyond, {System::kSbas, 39}, {observation("1C", 3.8e7, 3.8e7 / kL1M)});
  EXPECT_TRUE(to_raw_legacy_gps(1004, beyond, {})->satellites.empty());
}

TEST(LegacyEncode, WhatDoesNotFitIsRefused) {
  Epoch epoch = epoch_at(1);
  const auto error = [&](int type, const LegacyEncodeOptions& options) {
    const auto raw = to_raw_legacy_gps(type, epoch, options);
    return raw ? ErrorCode::kInternal : raw.error().code;
  };
  EXPECT_EQ(error(1005, {}), ErrorCode::kUnsupported);
  LegacyEncodeOptions options;
  options.station_id = 4096;
  EXPECT_EQ(error(1004, options), ErrorCode::kOutOfRange);

  epoch.time = GnssTime::from_ns(epoch.time.ns() + 500);
  EXPECT_EQ(to_raw_legacy_gps(1004, epoch, {})->tow_ms, 1000U);
  epoch.time = GnssTime::from_ns(epoch.time.ns() + 1);
  EXPECT_EQ(error(1004, {}), ErrorCode::kOutOfRange);

  epoch = epoch_at(604799.999);
  for (int i = 1; i <= 32; ++i) {
    EXPECT_EQ(to_raw_legacy_gps(1004, epoch, {})->tow_ms, 604'799'999U);
    add(epoch,
        {System::kGps, static_cast<std::uint8_t>(i)},
        {observation("1C", 2e7, 2e7 / kL1M)});
  }
  EXPECT_EQ(error(1004, {}), ErrorCode::kOutOfRange) << "32 satellites";
}

}  // namespace
}  // namespace stillpoint::rtcm

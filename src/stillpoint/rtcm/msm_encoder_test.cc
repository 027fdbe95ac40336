#include "stillpoint/rtcm/msm_encoder.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/frame.h"

namespace stillpoint::rtcm {
namespace {

constexpr SatId kG5{System::kGps, 5};
constexpr SatId kR4{System::kGlonass, 4};
const GnssTime kT0 = GnssTime::from_gps_week(2300, 345'600);

Observation row(const char* signal, double code_m, double phase_cyc) {
  Observation o;
  o.signal = {signal[0], signal[1]};
  o.code_m = code_m;
  o.phase_cyc = phase_cyc;
  o.doppler_hz = 1234.5;
  o.cn0_dbhz = 44.3;
  return o;
}

void add(Epoch& epoch, SatId sat, std::vector<Observation> rows) {
  epoch.satellites.push_back(
      {sat,
       static_cast<std::uint16_t>(rows.size()),
       static_cast<std::uint32_t>(epoch.observations.size())});
  epoch.observations.insert(epoch.observations.end(), rows.begin(), rows.end());
}

Epoch one(double t_s, Observation o, SatId sat = kG5) {
  Epoch epoch;
  epoch.time = kT0 + Duration{t_s};
  add(epoch, sat, {o});
  return epoch;
}

// Encodes and decodes again.
struct Loop {
  explicit Loop(int level = 7) : encoder({.station_id = 9, .level = level}) {}
  Epoch operator()(const Epoch& epoch) {
    const auto messages = encoder.encode(epoch, channels);
    EXPECT_TRUE(messages);
    builder.begin(epoch.time);
    for (const RawMsm& m : *messages) {
      RawMsm wire;
      EXPECT_TRUE(decode_msm(encode_msm(m), wire));
      EXPECT_EQ(msm_epoch_time(msm_type(wire.type)->system,
                               wire.epoch,
                               epoch.time + Duration{1000}),
                epoch.time);
      append_rows(wire, builder, locks, channels);
    }
    return builder.epoch();
  }
  MsmEncoder encoder;
  GlonassChannels channels;
  EpochBuilder builder;
  LockMemory locks;
};

double cycles_off(double a, double b) {
  return std::abs((a - b) - std::round(a - b));
}

// kind: cross, encode and decode
// tolerance: half a step of each field of RTCM 10403.3: MSM7 2^-29 and 2^-31
// ms, 1/16 dB, 1e-4 m/s; MSM4 2^-24 and 2^-29 ms, 1 dB
TEST(MsmEncoder, ValuesComeBackWithinTheFieldsSteps) {
  constexpr double kLightMs = kSpeedOfLightMps / 1000;
  for (const int level : {4, 5, 6, 7}) {
    Loop loop(level);
    const bool fine = level >= 6;
    const Epoch back = loop(one(0, row("1C", 23'456'789.123, 1234.567)));
    ASSERT_EQ(back.observations.size(), 1U);
    const Observation& o = back.observations[0];
    EXPECT_NEAR(o.code_m,
                23'456'789.123,
                std::ldexp(kLightMs, fine ? -30 : -25) + 1e-8);
    EXPECT_LE(cycles_off(o.phase_cyc, 1234.567) * 0.1903,
              std::ldexp(kLightMs, fine ? -32 : -30) + 1e-8);
    EXPECT_NEAR(o.cn0_dbhz, 44.3, fine ? 1.0 / 32 : 0.5);
    if (msm_has_rates(level)) {
      EXPECT_NEAR(o.doppler_hz, 1234.5, 0.5e-4 / 0.19);
    } else {
      EXPECT_FALSE(is_present(o.doppler_hz));
    }
  }
}

TEST(MsmEncoder, AnArcKeepsItsWholeNumberOfCycles) {
  Loop loop;
  double first = 0;
  for (int i = 0; i < 100; ++i) {
    const double range = 22e6 + 600.0 * i;
    const double phase = range / 0.19029367 + 0.25 - 5e7;
    const Epoch back = loop(one(i, row("1C", range + 0.3 * (i % 3), phase)));
    const double shift = back.observations[0].phase_cyc - phase;
    if (i == 0) {
      first = std::round(shift);
    }
    EXPECT_NEAR(shift, first, 1e-3);
    EXPECT_EQ(back.observations[0].lli, 0) << i;
  }
}

TEST(MsmEncoder, ASlipRestartsTheLockAndIsSeen) {
  Loop loop;
  for (int i = 0; i < 40; ++i) {
    Observation o = row("1C", 22e6, 100.0);
    o.lli = i == 20 || i == 21 ? 1 : i == 30 ? 2 : 0;
    const Epoch back = loop(one(30.0 * i, o));
    EXPECT_EQ(back.observations[0].lli, o.lli) << i;
  }
}

TEST(MsmEncoder, AGapWithoutALossIsNoSlip) {
  Loop loop;
  loop(one(0, row("1C", 22e6, 100)));
  loop(one(30, row("1C", 22e6, kMissing)));
  EXPECT_EQ(loop(one(3600, row("1C", 22e6, 100))).observations[0].lli, 0);
}

TEST(MsmEncoder, ADriftBeyondTheFieldIsANewArc) {
  Loop loop;
  EXPECT_EQ(loop(one(0, row("1C", 22e6, 0))).observations[0].lli, 0);
  const Epoch back = loop(one(1, row("1C", 22e6 + 1300, 0)));
  EXPECT_EQ(back.observations[0].lli, 1);
  EXPECT_NEAR(cycles_off(back.observations[0].phase_cyc, 0), 0, 1e-3);
}

TEST(MsmEncoder, MoreThan64CellsBecomeSeveralMessages) {
  Epoch epoch;
  epoch.time = kT0;
  for (std::uint8_t n = 1; n <= 30; ++n) {
    std::vector<Observation> rows;
    for (const char* signal : {"1C", "1W", "2W", "2L", "5Q"}) {
      rows.push_back(row(signal, 21e6 + 1000.0 * n, 5));
    }
    add(epoch, {System::kGps, n}, rows);
  }
  Loop loop;
  const auto messages = *MsmEncoder({}).encode(epoch, {});
  ASSERT_EQ(messages.size(), 3U);  // 12 + 12 + 6 satellites of 5 signals
  EXPECT_TRUE(messages[0].multiple);
  EXPECT_TRUE(messages[1].multiple);
  EXPECT_FALSE(messages[2].multiple);
  const Epoch back = loop(epoch);
  EXPECT_EQ(back.satellites.size(), 30U);
  EXPECT_EQ(back.observations.size(), 150U);
}

TEST(MsmEncoder, PhaseWithoutCodeIsCarriedByItsArc) {
  Loop loop;
  loop(one(0, row("1C", 22e6, 40)));
  const Epoch back = loop(one(1, row("1C", kMissing, 41)));
  ASSERT_EQ(back.observations.size(), 1U);
  EXPECT_FALSE(is_present(back.observations[0].code_m));
  EXPECT_LE(cycles_off(back.observations[0].phase_cyc, 41), 1e-3);
}

TEST(MsmEncoder, GlonassNeedsAChannelAndSendsIt) {
  Loop loop;
  EXPECT_TRUE(loop(one(0, row("1C", 20e6, 7), kR4)).observations.empty());
  EXPECT_EQ(loop.encoder.left_out().signals, 1U);
  loop.channels.set(kR4, -5);
  const Epoch epoch = one(1, row("1C", 20e6, 7), kR4);
  const auto messages = *loop.encoder.encode(epoch, loop.channels);
  ASSERT_EQ(messages.size(), 1U);
  EXPECT_EQ(messages[0].satellites[0].extended, 2);
  EXPECT_LE(cycles_off(loop(epoch).observations[0].phase_cyc, 7), 1e-3);
}

TEST(MsmEncoder, WhatMsmCannotSayIsCountedOrRefused) {
  MsmEncoder encoder({});
  ASSERT_TRUE(encoder.encode(one(0, row("1Y", 22e6, 0)), {}));
  EXPECT_EQ(encoder.left_out().signals, 1U);
  ASSERT_TRUE(encoder.encode(one(1, row("1C", 99e6, 0)), {}));
  EXPECT_EQ(encoder.left_out().satellites, 1U);
  EXPECT_FALSE(encoder.encode(one(0.0000005, row("1C", 22e6, 0)), {}));
  EXPECT_FALSE(
      MsmEncoder({.station_id = 4096}).encode(one(0, row("1C", 2e7, 0)), {}));
  EXPECT_FALSE(MsmEncoder({.level = 8}).encode(one(0, row("1C", 2e7, 0)), {}));
}

TEST(MsmEncoder, FramesAreWholeAndGood) {
  MsmEncoder encoder({.station_id = 77});
  const auto frames = *encoder.encode_frames(one(0, row("1C", 22e6, 0)), {});
  ASSERT_EQ(frames.size(), 1U);
  EXPECT_TRUE(is_good_frame(frames[0]));
  EXPECT_EQ(message_type(payload_of(frames[0])), 1077);
}

}  // namespace
}  // namespace stillpoint::rtcm

#include "stillpoint/rtcm/msm_rows.h"

#include <gtest/gtest.h>

#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/test_frames.h"

namespace stillpoint::rtcm {
namespace {

// One GPS and one GLONASS cell to change in the tests.
RawMsm one_cell(int type) {
  RawMsm m;
  m.type = static_cast<std::uint16_t>(type);
  m.satellite_mask = std::uint64_t{1} << 60;  // satellite 4
  m.signal_mask = std::uint32_t{1} << 30;     // signal 2, C/A
  m.cell_mask = std::uint64_t{1} << 63;
  m.satellites[0] = {70, 8, 512, -100};
  m.cells[0] = {1000, 2000, 300, 720, 50, false};
  return m;
}

struct Rows {
  EpochBuilder epoch;
  LockMemory locks;
  GlonassChannels channels;
  // The only row; nothing when there is none.
  std::optional<Observation> of(const RawMsm& m, GnssTime t = {}) {
    epoch.begin(t);
    append_rows(m, epoch, locks, channels);
    if (epoch.epoch().observations.empty()) {
      return std::nullopt;
    }
    return epoch.epoch().observations[0];
  }
};

// kind: published   source: bit string of a 1077 in the tests of a
// space-dynamics library, as shared checks section 5 print it (msm_layout.json)
// tolerance: 1e-4 m, 1e-3 cycles: the printed digits (its phase was computed
// with the frequency of L1)
TEST(MsmRows, WorkedExampleOf1077) {
  const auto payload = from_bits(
      "010000110101 111111111111 001101110111100001110000100000 0 000 0000000 "
      "01 00 0 000 "
      "1100000000000000000000000000000000000000000000000000000000000000 "
      "01000000000000000000000000000000 11 0100010001000101 00000000 "
      "10011011101001001001 1111110111011100000011001110 "
      "1101101100000101110100011010010011111111 "
      "111110110010010000101110000010011010001110111110 "
      "10011010011001111011 00 10111101001100110100 "
      "000110110000001000111010010101 00000");
  RawMsm raw;
  ASSERT_TRUE(decode_msm(payload, raw));
  EXPECT_EQ(raw.epoch, 232'660'000U);
  Rows rows;
  const auto row = rows.of(raw);
  ASSERT_TRUE(row);
  EXPECT_EQ(rows.epoch.epoch().satellites[0].sat, (SatId{System::kGps, 1}));
  EXPECT_NEAR(row->code_m, 20567903.0651883, 1e-6);
  EXPECT_NEAR(row->phase_cyc, 108085270.97501317, 1e-6);
  EXPECT_NEAR(row->cn0_dbhz, 47.25, 0);
  const double per_m = 1575.42e6 / kSpeedOfLightMps;
  EXPECT_NEAR(row->doppler_hz, 136.6543 * per_m, 1e-9);
  EXPECT_EQ(raw.cells[0].lock, 617);
}

TEST(MsmRows, AnApproachingSatelliteHasAPositiveDoppler) {
  RawMsm m = one_cell(1077);
  Rows rows;
  EXPECT_GT(rows.of(m)->doppler_hz, 0);
  m.satellites[0].rough_rate = 100;
  EXPECT_LT(rows.of(m)->doppler_hz, 0);
}

TEST(MsmRows, InvalidCodesAreMissingValues) {
  RawMsm m = one_cell(1077);
  m.cells[0].code = kNoCode20;
  EXPECT_FALSE(is_present(Rows().of(m)->code_m));
  EXPECT_TRUE(is_present(Rows().of(m)->phase_cyc));
  m = one_cell(1077);
  m.cells[0].phase = kNoPhase24;
  EXPECT_FALSE(is_present(Rows().of(m)->phase_cyc));
  m = one_cell(1077);
  m.cells[0].fine_rate = kNoFineRate;
  EXPECT_FALSE(is_present(Rows().of(m)->doppler_hz));
  m = one_cell(1077);
  m.satellites[0].rough_rate = kNoRoughRate;
  EXPECT_FALSE(is_present(Rows().of(m)->doppler_hz));
  m = one_cell(1077);
  m.cells[0].cn0 = 0;
  EXPECT_FALSE(is_present(Rows().of(m)->cn0_dbhz));
  m = one_cell(1074);
  m.cells[0].code = kNoCode15;
  m.cells[0].phase = kNoPhase22;
  EXPECT_FALSE(is_present(Rows().of(m)->code_m));
  EXPECT_FALSE(is_present(Rows().of(m)->phase_cyc));
  m.satellites[0].whole_ms = kNoWholeMs;
  m.cells[0].code = 5;
  EXPECT_FALSE(is_present(Rows().of(m)->code_m));
}

TEST(MsmRows, LevelsWithoutWholeMillisecondsHaveNoCode) {
  for (const int type : {1071, 1073}) {
    Rows rows;
    const auto row = rows.of(one_cell(type));
    EXPECT_TRUE(!row || !is_present(row->code_m)) << type;
  }
  EXPECT_TRUE(is_present(Rows().of(one_cell(1072))->phase_cyc));
}

// kind: cross   The two resolutions of one range agree within the coarser one.
TEST(MsmRows, CoarseAndFineRangesAreTheSameRange) {
  RawMsm fine = one_cell(1077);
  RawMsm coarse = one_cell(1074);
  fine.cells[0].code = 32 * 77;  // 2^-29 ms
  coarse.cells[0].code = 77;     // 2^-24 ms
  fine.cells[0].phase = 4 * -99;
  coarse.cells[0].phase = -99;
  EXPECT_DOUBLE_EQ(Rows().of(fine)->code_m, Rows().of(coarse)->code_m);
  EXPECT_DOUBLE_EQ(Rows().of(fine)->phase_cyc, Rows().of(coarse)->phase_cyc);
}

TEST(MsmRows, GlonassPhaseNeedsItsChannel) {
  Rows rows;
  RawMsm m = one_cell(1084);
  EXPECT_TRUE(is_present(rows.of(m)->code_m));
  EXPECT_FALSE(is_present(rows.of(m)->phase_cyc));
  RawMsm seven = one_cell(1087);  // extended information 8: channel +1
  const auto with = rows.of(seven);
  EXPECT_TRUE(is_present(with->phase_cyc));
  EXPECT_EQ(rows.channels.of({System::kGlonass, 4}), 1);
  EXPECT_TRUE(is_present(rows.of(m)->phase_cyc));  // now it is known
}

TEST(MsmRows, ALostLockIsMarkedOnce) {
  Rows rows;
  RawMsm m = one_cell(1077);
  const auto lli = [&](double t_s, unsigned lock) {
    m.cells[0].lock = static_cast<std::uint16_t>(lock);
    return int{rows.of(m, GnssTime{} + Duration{t_s})->lli};
  };
  EXPECT_EQ(lli(1, 400), 0);  // first seen: nothing is known
  EXPECT_EQ(lli(2, 401), 0);
  EXPECT_EQ(lli(3, 3), 1);
  EXPECT_EQ(lli(4, fine_lock_code(1003)), 0);
  m.cells[0].half_cycle = true;
  EXPECT_EQ(lli(5, fine_lock_code(2003)), 2);
}

TEST(MsmRows, ReservedSignalsAreSteppedOver) {
  RawMsm m = one_cell(1077);
  m.signal_mask = 0xC0000000;  // 1 is reserved, 2 is C/A
  m.cell_mask = std::uint64_t{3} << 62;
  m.cells[1] = m.cells[0];
  m.cells[0].code = 77;
  Rows rows;
  const auto row = rows.of(m);
  ASSERT_TRUE(row);
  EXPECT_EQ(rows.epoch.epoch().observations.size(), 1U);
  EXPECT_EQ(row->signal.text(), "1C");
  EXPECT_EQ(row->code_m, Rows().of(one_cell(1077))->code_m);
}

}  // namespace
}  // namespace stillpoint::rtcm

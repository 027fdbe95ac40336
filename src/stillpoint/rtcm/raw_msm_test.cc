#include "stillpoint/rtcm/raw_msm.h"

#include <gtest/gtest.h>

#include <random>

#include "stillpoint/rtcm/frame.h"

namespace stillpoint::rtcm {
namespace {

// A message with every field at random, of `satellites` x `signals`.
RawMsm random_message(std::mt19937& random,
                      int type,
                      unsigned satellites,
                      unsigned signals) {
  const auto bits = [&](unsigned n) {
    return static_cast<std::uint32_t>(random()) & ((std::uint64_t{1} << n) - 1);
  };
  const auto signed_bits = [&](unsigned n) {
    return static_cast<std::int32_t>(bits(n)) -
           static_cast<std::int32_t>(std::uint32_t{1} << (n - 1));
  };
  const int level = msm_type(type)->level;
  const bool fine = msm_is_fine(level);
  RawMsm m;
  m.type = static_cast<std::uint16_t>(type);
  m.station_id = static_cast<std::uint16_t>(bits(12));
  m.epoch = static_cast<std::uint32_t>(bits(30));
  m.multiple = bits(1) != 0;
  m.iods = static_cast<std::uint8_t>(bits(3));
  m.reserved = static_cast<std::uint8_t>(bits(7));
  m.clock_steering = static_cast<std::uint8_t>(bits(2));
  m.external_clock = static_cast<std::uint8_t>(bits(2));
  m.smoothing = bits(1) != 0;
  m.smoothing_interval = static_cast<std::uint8_t>(bits(3));
  while (m.satellite_count() < satellites) {
    m.satellite_mask |= std::uint64_t{1} << bits(6);
  }
  while (m.signal_count() < signals) {
    m.signal_mask |= std::uint32_t{1} << bits(5);
  }
  for (unsigned i = 0; i < satellites * signals; ++i) {
    m.cell_mask |= bits(1) << (63 - i);
  }
  for (RawMsmSatellite& s : m.satellites) {
    s.whole_ms =
        msm_has_whole_ms(level) ? static_cast<std::uint8_t>(bits(8)) : 0;
    s.extended = msm_has_rates(level) ? static_cast<std::uint8_t>(bits(4)) : 0;
    s.modulo = static_cast<std::uint16_t>(bits(10));
    s.rough_rate =
        static_cast<std::int16_t>(msm_has_rates(level) ? signed_bits(14) : 0);
  }
  for (RawMsmCell& c : m.cells) {
    c.code = msm_has_code(level) ? signed_bits(fine ? 20 : 15) : 0;
    c.phase = msm_has_phase(level) ? signed_bits(fine ? 24 : 22) : 0;
    c.lock = msm_has_phase(level)
                 ? static_cast<std::uint16_t>(bits(fine ? 10 : 4))
                 : 0;
    c.half_cycle = msm_has_phase(level) && bits(1) != 0;
    c.cn0 = msm_has_cn0(level) ? static_cast<std::uint16_t>(bits(fine ? 10 : 6))
                               : 0;
    c.fine_rate =
        static_cast<std::int16_t>(msm_has_rates(level) ? signed_bits(15) : 0);
  }
  return m;
}

void expect_same(const RawMsm& a, const RawMsm& b) {
  EXPECT_EQ(a.type, b.type);
  EXPECT_EQ(a.station_id, b.station_id);
  EXPECT_EQ(a.epoch, b.epoch);
  EXPECT_EQ(a.multiple, b.multiple);
  EXPECT_EQ(a.iods, b.iods);
  EXPECT_EQ(a.reserved, b.reserved);
  EXPECT_EQ(a.clock_steering, b.clock_steering);
  EXPECT_EQ(a.external_clock, b.external_clock);
  EXPECT_EQ(a.smoothing, b.smoothing);
  EXPECT_EQ(a.smoothing_interval, b.smoothing_interval);
  EXPECT_EQ(a.satellite_mask, b.satellite_mask);
  EXPECT_EQ(a.signal_mask, b.signal_mask);
  EXPECT_EQ(a.cell_mask, b.cell_mask);
  for (unsigned i = 0; i < a.satellite_count(); ++i) {
    EXPECT_EQ(a.satellites[i], b.satellites[i]) << i;
  }
  for (unsigned i = 0; i < a.cell_count(); ++i) {
    EXPECT_EQ(a.cells[i], b.cells[i]) << i;
  }
}

// kind: cross, encode and decode   tolerance: 0, whole numbers
TEST(RawMsm, EveryTypeAndFieldComesBack) {
  std::mt19937 random(20260101);
  for (int type = 1071; type <= 1137; ++type) {
    if (!msm_type(type)) {
      continue;
    }
    for (const auto& [sats, signals] : {std::pair{0U, 0U},
                                        {1U, 1U},
                                        {3U, 2U},
                                        {8U, 8U},
                                        {64U, 1U},
                                        {2U, 32U}}) {
      const RawMsm sent = random_message(random, type, sats, signals);
      const auto payload = encode_msm(sent);
      ASSERT_FALSE(payload.empty()) << type;
      RawMsm got;
      ASSERT_TRUE(decode_msm(payload, got)) << type;
      expect_same(sent, got);
      EXPECT_EQ(encode_msm(got), payload);
    }
  }
}

// kind: published   source: RTCM 10403.x table of MSM sizes for 16 satellites
// and 4 signals, public summary recomputed (shared checks section 5)
// tolerance: 0 bits
TEST(RawMsm, SizesAreThoseOfTheStandard) {
  constexpr std::array<std::size_t, 7> kBits{
      1353, 2121, 3081, 3593, 4841, 4681, 5929};
  for (int level = 1; level <= 7; ++level) {
    RawMsm m;
    m.type = static_cast<std::uint16_t>(1070 + level);
    m.satellite_mask = ~std::uint64_t{0} << 48;
    m.signal_mask = 0xF0000000;
    m.cell_mask = ~std::uint64_t{0};
    const std::size_t bits = kBits[static_cast<std::size_t>(level) - 1];
    EXPECT_EQ(encode_msm(m).size(), (bits + 7) / 8) << level;
  }
}

TEST(RawMsm, NumbersAndSystemsBelongTogether) {
  for (const System system : kSystems) {
    for (int level = 1; level <= 7; ++level) {
      const MsmType type{system, level};
      EXPECT_EQ(msm_type(msm_number(type)), type);
    }
  }
  EXPECT_EQ(msm_number({System::kSbas, 7}), 1107);
  EXPECT_EQ(msm_number({System::kBeidou, 4}), 1124);
  EXPECT_EQ(msm_type(1070), std::nullopt);
  EXPECT_EQ(msm_type(1078), std::nullopt);
  EXPECT_EQ(msm_type(1141), std::nullopt);
  EXPECT_EQ(msm_type(-3), std::nullopt);
}

TEST(RawMsm, EveryCutOfAMessageIsRefused) {
  std::mt19937 random(7);
  const auto payload = encode_msm(random_message(random, 1077, 5, 3));
  RawMsm got;
  for (std::size_t n = 0; n < payload.size(); ++n) {
    EXPECT_FALSE(decode_msm(ByteSpan(payload).first(n), got)) << n;
  }
  EXPECT_TRUE(decode_msm(payload, got));
}

TEST(RawMsm, MoreThan64CellsAreRefusedBothWays) {
  RawMsm m;
  m.type = 1074;
  m.satellite_mask = ~std::uint64_t{0};
  m.signal_mask = 0x80000000;
  auto payload = encode_msm(m);
  ASSERT_FALSE(payload.empty());
  m.signal_mask = 0xC0000000;
  EXPECT_TRUE(encode_msm(m).empty());
  payload.resize(kMaxPayload);
  payload[17] = 0xF0;  // four signals: 256 cells
  RawMsm got;
  EXPECT_FALSE(decode_msm(payload, got));
}

TEST(RawMsm, BytesBehindTheLastFieldAreKept) {
  std::mt19937 random(9);
  RawMsm sent = random_message(random, 1095, 2, 2);
  sent.rest.more = {1, 2, 3};
  const auto payload = encode_msm(sent);
  RawMsm got;
  ASSERT_TRUE(decode_msm(payload, got));
  EXPECT_EQ(got.rest, sent.rest);
}

TEST(RawMsm, AValueThatDoesNotFitMakesNoMessage) {
  std::mt19937 random(11);
  RawMsm m = random_message(random, 1077, 1, 1);
  m.cell_mask = std::uint64_t{1} << 63;
  m.cells[0].code = 1 << 19;
  EXPECT_TRUE(encode_msm(m).empty());
}

}  // namespace
}  // namespace stillpoint::rtcm

// MSM frames of tests/vectors/rtcm_msm.vec: every field as a general-purpose
// parser reads it, and the same bits back.
#include <gtest/gtest.h>

#include <functional>

#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_signals.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/test_frames.h"
#include "tests/support/vectors.h"

namespace stillpoint::rtcm {
namespace {

// "1,2,3" of a field over satellites or cells.
template <class Items, class Field>
std::string listed(const Items& items, unsigned count, Field field) {
  std::string text;
  for (unsigned i = 0; i < count; ++i) {
    text += (i == 0 ? "" : ",") + std::to_string(field(items[i]));
  }
  return text;
}

// Signals and satellites of the cells, as the vectors write them.
std::string cell_signals(const RawMsm& m) {
  const System system = msm_type(m.type)->system;
  std::string text;
  std::uint64_t cells = m.cell_mask;
  for (unsigned s = 1; s <= 64; ++s) {
    for (unsigned n = 1; n <= 32 && (m.satellite_mask >> (64 - s) & 1) != 0;
         ++n) {
      if ((m.signal_mask >> (32 - n) & 1) == 0) {
        continue;
      }
      if (cells >> 63 != 0) {
        text += (text.empty() ? "" : ",") + msm_signal(system, n).text();
      }
      cells <<= 1;
    }
  }
  return text;
}

std::string epoch_name(System system) {
  switch (system) {
    case System::kGalileo:
      return "DF248";
    case System::kBeidou:
      return "DF427";
    case System::kQzss:
      return "DF428";
    case System::kNavic:
      return "DF546";
    default:
      return "DF004";
  }
}

void expect_header(const test::Block& block, const RawMsm& m) {
  const System system = msm_type(m.type)->system;
  EXPECT_EQ(m.type, block.out("DF002"));
  EXPECT_EQ(m.station_id, block.out("DF003"));
  if (system == System::kGlonass) {
    EXPECT_EQ(m.epoch >> 27, block.out("DF416"));
    EXPECT_EQ(m.epoch & ((1U << 27) - 1), block.out("DF034"));
  } else {
    EXPECT_EQ(m.epoch, block.out(epoch_name(system)));
  }
  EXPECT_EQ(m.multiple, block.out("DF393") != 0);
  EXPECT_EQ(m.iods, block.out("DF409"));
  EXPECT_EQ(m.reserved, block.out("DF001_7"));
  EXPECT_EQ(m.clock_steering, block.out("DF411"));
  EXPECT_EQ(m.external_clock, block.out("DF412"));
  EXPECT_EQ(m.smoothing, block.out("DF417") != 0);
  EXPECT_EQ(m.smoothing_interval, block.out("DF418"));
  EXPECT_EQ(std::to_string(m.satellite_mask), block.expect.at("DF394"));
  EXPECT_EQ(std::to_string(m.signal_mask), block.expect.at("DF395"));
  EXPECT_EQ(m.satellite_count(), block.out("NSat"));
  EXPECT_EQ(m.signal_count(), block.out("NSig"));
  EXPECT_EQ(m.cell_count(), block.out("NCell"));
  EXPECT_EQ(cell_signals(m), block.expect.at("signals"));
}

// Compares where the vector has the field; returns how many values that were.
std::size_t expect_field(const test::Block& block,
                         const std::string& name,
                         const std::string& got) {
  const auto wanted = block.expect.find(name);
  if (wanted == block.expect.end()) {
    return 0;
  }
  EXPECT_EQ(got, wanted->second) << name;
  return got.empty() ? 0 : 1;
}

std::size_t expect_fields(const test::Block& block, const RawMsm& m) {
  const unsigned sats = m.satellite_count();
  const unsigned cells = m.cell_count();
  const auto sat = [&](const std::string& name, auto field) {
    return expect_field(block, name, listed(m.satellites, sats, field));
  };
  const auto cell = [&](const std::string& name, auto field) {
    return expect_field(block, name, listed(m.cells, cells, field));
  };
  return sat("DF397", [](auto& x) { return x.whole_ms; }) +
         sat("DF398", [](auto& x) { return x.modulo; }) +
         sat("DF399", [](auto& x) { return x.rough_rate; }) +
         sat("ExtSatInfo", [](auto& x) { return x.extended; }) +
         sat("DF419", [](auto& x) { return x.extended; }) +
         cell("DF400", [](auto& x) { return x.code; }) +
         cell("DF405", [](auto& x) { return x.code; }) +
         cell("DF401", [](auto& x) { return x.phase; }) +
         cell("DF406", [](auto& x) { return x.phase; }) +
         cell("DF402", [](auto& x) { return x.lock; }) +
         cell("DF407", [](auto& x) { return x.lock; }) +
         cell("DF420", [](auto& x) { return x.half_cycle ? 1 : 0; }) +
         cell("DF403", [](auto& x) { return x.cn0; }) +
         cell("DF408", [](auto& x) { return x.cn0; }) +
         cell("DF404", [](auto& x) { return x.fine_rate; });
}

// kind: published   source: beside each block
// tolerance: 0, whole numbers on the wire
TEST(RawMsm, PublishedFramesReadFieldByField) {
  std::size_t fields = 0;
  for (const test::Block& block : test::read_vectors("rtcm_msm.vec")) {
    SCOPED_TRACE(block.name);
    const auto frame = from_hex(block.word("frame"));
    ASSERT_TRUE(is_good_frame(frame));
    RawMsm msm;
    ASSERT_TRUE(decode_msm(payload_of(frame), msm));
    expect_header(block, msm);
    fields += expect_fields(block, msm);
  }
  EXPECT_GE(fields, 100U);
}

// kind: cross, encode of decode   tolerance: 0, the same bits
TEST(RawMsm, PublishedFramesComeBackBitForBit) {
  for (const test::Block& block : test::read_vectors("rtcm_msm.vec")) {
    const auto frame = from_hex(block.word("frame"));
    RawMsm msm;
    ASSERT_TRUE(decode_msm(payload_of(frame), msm)) << block.name;
    EXPECT_EQ(make_frame(encode_msm(msm)), frame) << block.name;
  }
}

}  // namespace
}  // namespace stillpoint::rtcm

// tests/vectors/rtcm_legacy.vec: legacy observations and their fields.
#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <vector>

#include "stillpoint/rtcm/codec_test_support.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "tests/support/vectors.h"

namespace stillpoint::rtcm {
namespace {

using test::Block;

// A field of a satellite in the units of the file.
struct Column {
  const char* key;
  std::function<double(const RawLegacySatellite&)> value;
};

const std::vector<Column>& columns() {
  using S = RawLegacySatellite;
  static const std::vector<Column> all = {
      {"satellite", [](const S& s) { return s.satellite; }},
      {"l1_signal", [](const S& s) { return s.l1_signal; }},
      {"channel", [](const S& s) { return s.channel; }},
      {"l1_code_m", [](const S& s) { return s.l1_code * 0.02; }},
      {"l1_phase_m", [](const S& s) { return s.l1_phase * 0.0005; }},
      {"l1_lock", [](const S& s) { return s.l1_lock; }},
      {"l1_whole", [](const S& s) { return s.l1_whole; }},
      {"l1_cn0", [](const S& s) { return s.l1_cn0 * 0.25; }},
      {"l2_signal", [](const S& s) { return s.l2_signal; }},
      {"l2_code_m", [](const S& s) { return s.l2_code * 0.02; }},
      {"l2_phase_m", [](const S& s) { return s.l2_phase * 0.0005; }},
      {"l2_lock", [](const S& s) { return s.l2_lock; }},
      {"l2_cn0", [](const S& s) { return s.l2_cn0 * 0.25; }}};
  return all;
}

template <class Message>
void compare(const Block& b, const Payload& payload, std::uint32_t epoch_ms) {
  const auto raw = decoded<Message>(payload);
  EXPECT_EQ(raw.type, b.out("type"));
  EXPECT_EQ(raw.station_id, b.out("station"));
  EXPECT_EQ(epoch_ms, b.out("epoch_ms"));
  EXPECT_EQ(raw.more_follows, b.out("more") != 0);
  EXPECT_EQ(raw.divergence_free, b.out("divergence_free") != 0);
  EXPECT_EQ(raw.smoothing, b.out("smoothing"));
  for (const Column& column : columns()) {
    if (!b.has(column.key)) {
      continue;
    }
    SCOPED_TRACE(column.key);
    const auto want = b.out_list(column.key);
    ASSERT_EQ(raw.satellites.size(), want.size());
    for (std::size_t i = 0; i < want.size(); ++i) {
      EXPECT_NEAR(column.value(raw.satellites[i]), want[i], b.tolerance);
    }
  }
  expect_same_bits<Message>(payload);
  expect_refused_when_cut<Message>(payload);
}

// kind: published   source and tolerance: in the file, by block
TEST(PublishedLegacyObservations, FieldsAgreeAndBitsComeBack) {
  std::vector<int> types;
  for (const Block& b : test::read_vectors("rtcm_legacy.vec")) {
    SCOPED_TRACE(b.name);
    const Payload payload = payload_of_hex(b.word("frame"));
    const int type = message_type(payload).value_or(0);
    types.push_back(type);
    if (type <= 1004) {
      compare<RawLegacyGps>(b, payload, decoded<RawLegacyGps>(payload).tow_ms);
    } else {
      compare<RawLegacyGlonass>(
          b, payload, decoded<RawLegacyGlonass>(payload).day_ms);
    }
  }
  EXPECT_EQ(types,
            (std::vector{1001, 1002, 1003, 1004, 1009, 1010, 1011, 1012}));
}

// kind: cross   the counters, set to more satellites than there are
TEST(PublishedLegacyObservations, CountsOfMoreThanThereIsAreRefused) {
  for (const Block& b : test::read_vectors("rtcm_legacy.vec")) {
    SCOPED_TRACE(b.name);
    Payload payload = payload_of_hex(b.word("frame"));
    // Bits 55 to 59 of GPS, 52 to 56 of GLONASS.
    if (message_type(payload).value_or(0) <= 1004) {
      payload[6] = static_cast<std::uint8_t>(payload[6] | 0x01U);
      payload[7] = static_cast<std::uint8_t>(payload[7] | 0xF0U);
      RawLegacyGps raw;
      EXPECT_FALSE(decode_fields(payload, raw));
    } else {
      payload[6] = static_cast<std::uint8_t>(payload[6] | 0x0FU);
      payload[7] = static_cast<std::uint8_t>(payload[7] | 0x80U);
      RawLegacyGlonass raw;
      EXPECT_FALSE(decode_fields(payload, raw));
    }
  }
}

}  // namespace
}  // namespace stillpoint::rtcm

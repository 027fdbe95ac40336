// tests/vectors/rtcm_station.vec: station messages and what stands in them.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/rtcm/codec_test_support.h"
#include "stillpoint/rtcm/station.h"
#include "tests/support/vectors.h"

namespace stillpoint::rtcm {
namespace {

using test::Block;

// "83,80" as "SP".
std::string text_of(const Block& b, const std::string& key) {
  std::string text;
  if (b.expect.at(key) != "none") {
    for (const double code : b.out_list(key)) {
      text.push_back(static_cast<char>(static_cast<int>(code)));
    }
  }
  return text;
}

void compare_position(const Block& b, const Payload& payload) {
  const auto raw = decoded<RawStationPosition>(payload);
  const StationPosition p = to_station_position(raw);
  EXPECT_EQ(p.station_id, b.out("station"));
  EXPECT_EQ(p.itrf_year, b.out("itrf"));
  EXPECT_EQ(p.gps, b.out("gps") != 0);
  EXPECT_EQ(p.glonass, b.out("glonass") != 0);
  EXPECT_EQ(p.galileo, b.out("galileo") != 0);
  EXPECT_EQ(p.computed, b.out("computed") != 0);
  EXPECT_EQ(p.single_oscillator, b.out("oscillator") != 0);
  EXPECT_EQ(static_cast<int>(p.quarter_cycle), b.out("quarter"));
  EXPECT_NEAR(p.arp_m.x_m, b.out("x_m"), b.tolerance);
  EXPECT_NEAR(p.arp_m.y_m, b.out("y_m"), b.tolerance);
  EXPECT_NEAR(p.arp_m.z_m, b.out("z_m"), b.tolerance);
  ASSERT_EQ(p.antenna_height_m.has_value(), b.has("height_m"));
  if (p.antenna_height_m) {
    EXPECT_NEAR(*p.antenna_height_m, b.out("height_m"), b.tolerance);
  }
  EXPECT_EQ(to_raw(p).value(), raw);
  expect_same_bits<RawStationPosition>(payload);
  expect_refused_when_cut<RawStationPosition>(payload);
}

void compare_antenna(const Block& b, const Payload& payload) {
  const auto raw = decoded<RawAntenna>(payload);
  const AntennaDescription a = to_antenna_description(raw);
  EXPECT_EQ(a.station_id, b.out("station"));
  EXPECT_EQ(a.descriptor, text_of(b, "descriptor"));
  EXPECT_EQ(a.setup_id, b.out("setup"));
  EXPECT_EQ(a.serial.has_value(), b.has("serial"));
  if (b.has("serial")) {
    EXPECT_EQ(a.serial, text_of(b, "serial"));
  }
  EXPECT_EQ(a.receiver_type.has_value(), b.has("receiver"));
  if (b.has("receiver")) {
    EXPECT_EQ(a.receiver_type, text_of(b, "receiver"));
    EXPECT_EQ(a.firmware, text_of(b, "firmware"));
    EXPECT_EQ(a.receiver_serial, text_of(b, "receiver_serial"));
  }
  EXPECT_EQ(to_raw(a, raw.type).value(), raw);
  expect_same_bits<RawAntenna>(payload);
  expect_refused_when_cut<RawAntenna>(payload);
}

void compare_parameters(const Block& b, const Payload& payload) {
  const auto raw = decoded<RawSystemParameters>(payload);
  const SystemParameters p = to_system_parameters(raw);
  EXPECT_EQ(p.station_id, b.out("station"));
  EXPECT_EQ(p.mjd, b.out("mjd"));
  EXPECT_EQ(p.second_of_day, b.out("second"));
  EXPECT_EQ(p.leap_seconds.value_or(-1), b.out("leap"));
  const bool some = b.expect.at("messages") != "none";
  ASSERT_EQ(p.announcements.size(), some ? b.out_list("messages").size() : 0U);
  for (std::size_t i = 0; i < p.announcements.size(); ++i) {
    EXPECT_EQ(p.announcements[i].message, b.out_list("messages")[i]);
    EXPECT_EQ(p.announcements[i].synchronous,
              b.out_list("synchronous")[i] != 0);
    EXPECT_NEAR(p.announcements[i].interval_s,
                b.out_list("interval_s")[i],
                b.tolerance);
  }
  EXPECT_EQ(to_raw(p).value(), raw);
  expect_same_bits<RawSystemParameters>(payload);
  expect_refused_when_cut<RawSystemParameters>(payload);
}

void compare_text(const Block& b, const Payload& payload) {
  const auto raw = decoded<RawText>(payload);
  const TextMessage m = to_text_message(raw);
  EXPECT_EQ(m.station_id, b.out("station"));
  EXPECT_EQ(m.mjd, b.out("mjd"));
  EXPECT_EQ(m.second_of_day, b.out("second"));
  EXPECT_EQ(raw.characters, b.out("characters"));
  EXPECT_EQ(m.bytes, text_of(b, "text"));
  EXPECT_EQ(m.text, m.bytes);
  EXPECT_EQ(to_raw(m).value(), raw);
  expect_same_bits<RawText>(payload);
  expect_refused_when_cut<RawText>(payload);
}

void compare_biases(const Block& b, const Payload& payload) {
  const auto raw = decoded<RawGlonassBiases>(payload);
  const GlonassBiases biases = to_glonass_biases(raw);
  EXPECT_EQ(biases.station_id, b.out("station"));
  EXPECT_EQ(biases.aligned, b.out("aligned") != 0);
  const auto want = b.out_list("bias_m");
  for (std::size_t i = 0; i < 4; ++i) {
    ASSERT_EQ(biases.bias_m[i].has_value(), !std::isnan(want.at(i)));
    if (biases.bias_m[i]) {
      EXPECT_NEAR(*biases.bias_m[i], want[i], b.tolerance);
    }
  }
  EXPECT_EQ(to_raw(biases).value(), raw);
  expect_same_bits<RawGlonassBiases>(payload);
  expect_refused_when_cut<RawGlonassBiases>(payload);
}

void compare(const Block& b, const Payload& payload) {
  switch (message_type(payload).value_or(0)) {
    case 1005:
    case 1006:
      return compare_position(b, payload);
    case 1007:
    case 1008:
    case 1033:
      return compare_antenna(b, payload);
    case 1013:
      return compare_parameters(b, payload);
    case 1029:
      return compare_text(b, payload);
    case 1230:
      return compare_biases(b, payload);
    default:
      FAIL() << "not a station message";
  }
}

// kind: published   source and tolerance: in the file, by block
TEST(PublishedStationMessages, FieldsAgreeAndBitsComeBack) {
  int blocks = 0;
  for (const Block& b : test::read_vectors("rtcm_station.vec")) {
    SCOPED_TRACE(b.name);
    const Payload payload = payload_of_hex(b.word("frame"));
    ASSERT_EQ(message_type(payload), static_cast<int>(b.out("type")));
    compare(b, payload);
    ++blocks;
  }
  EXPECT_EQ(blocks, 14);
}

// kind: published   source: RTCM 10403.x, worked example of message 1005
// tolerance: 0, whole numbers of 0.1 mm; the frame too comes back bit by bit
TEST(PublishedStationMessages, WorkedExampleOf1005IsExact) {
  const std::string hex = "D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98";
  const Payload payload = payload_of_hex(hex);
  const auto raw = decoded<RawStationPosition>(payload);
  EXPECT_EQ(raw.x, 11141045999);
  EXPECT_EQ(raw.y, -48507297108);
  EXPECT_EQ(raw.z, 39755214643);
  StationPosition p;
  p.station_id = 2003;
  p.gps = true;
  p.arp_m = {1114104.5999, -4850729.7108, 3975521.4643};
  EXPECT_EQ(payload_of_hex(hex), encode_fields(to_raw(p).value()));
}

}  // namespace
}  // namespace stillpoint::rtcm

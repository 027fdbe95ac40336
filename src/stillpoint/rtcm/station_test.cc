#include "stillpoint/rtcm/station.h"

#include <gtest/gtest.h>

#include <limits>
#include <string>

#include "stillpoint/rtcm/codec_test_support.h"

namespace stillpoint::rtcm {
namespace {

StationPosition somewhere() {
  StationPosition p;
  p.station_id = 1;
  p.arp_m = {3771793.968, 140253.342, 5124304.349};
  return p;
}

template <class T>
ErrorCode error_of(const Result<T>& result) {
  EXPECT_FALSE(result.has_value());
  return result ? ErrorCode::kInternal : result.error().code;
}

// kind: cross   a definition: DF028 is 16 bits of 0.0001 m
TEST(StationPosition, AntennaHeightsBeyondTheFieldAreRefused) {
  StationPosition p = somewhere();
  p.antenna_height_m = 6.5535;
  EXPECT_EQ(to_raw(p).value().antenna_height, 65535);
  p.antenna_height_m = 6.5536;
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
  p.antenna_height_m = -0.0001;
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
}

TEST(StationPosition, CoordinatesThatDoNotFitAreRefused) {
  for (const double bad : {13743895.35,
                           -13743895.35,
                           std::numeric_limits<double>::infinity(),
                           std::numeric_limits<double>::quiet_NaN()}) {
    StationPosition p = somewhere();
    p.arp_m.y_m = bad;
    EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange) << bad;
  }
}

TEST(StationPosition, NumbersThatDoNotFitAreNamed) {
  StationPosition p = somewhere();
  p.station_id = 4096;
  const auto result = to_raw(p);
  EXPECT_EQ(error_of(result), ErrorCode::kOutOfRange);
  EXPECT_EQ(result.error().what, "station id 4096 is outside [0, 4095]");
  p.station_id = -1;
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
}

TEST(StationPosition, ReservedBitsAndLaterAdditionsComeBack) {
  Payload payload = encode_fields(to_raw(somewhere()).value());
  ASSERT_EQ(payload.size(), 19U);
  payload[9] = static_cast<std::uint8_t>(payload[9] | 0x40U);  // DF001
  payload.push_back(0xA5);
  const auto raw = decoded<RawStationPosition>(payload);
  EXPECT_EQ(raw.rest.more, Payload{0xA5});
  EXPECT_EQ(encode_fields(raw), payload);
}

TEST(AntennaDescription, NamesOver31BytesAreRefused) {
  AntennaDescription a;
  a.descriptor = std::string(31, 'A');
  EXPECT_TRUE(to_raw(a, 1007).has_value());
  a.descriptor += 'A';
  EXPECT_EQ(error_of(to_raw(a, 1007)), ErrorCode::kOutOfRange);
  a.descriptor = "SPDEMO-A1 NONE";
  a.receiver_serial = std::string(32, '1');
  EXPECT_TRUE(to_raw(a, 1008).has_value()) << "1008 has no such field";
  EXPECT_EQ(error_of(to_raw(a, 1033)), ErrorCode::kOutOfRange);
}

TEST(AntennaDescription, OtherMessagesAreUnsupported) {
  EXPECT_EQ(error_of(to_raw(AntennaDescription{}, 1009)),
            ErrorCode::kUnsupported);
}

// The raw layer keeps what a sender was not allowed to send.
TEST(AntennaDescription, LongNamesOfStrangersAreRead) {
  RawAntenna raw;
  raw.descriptor = std::string(255, 'x');
  EXPECT_EQ(decoded<RawAntenna>(encode_fields(raw)), raw);
  raw.descriptor += 'x';
  EXPECT_TRUE(encode_fields(raw).empty()) << "256 bytes fit no counter";
}

TEST(SystemParameters, ListsAndIntervalsThatDoNotFitAreRefused) {
  SystemParameters p;
  p.announcements.resize(31);
  EXPECT_TRUE(to_raw(p).has_value());
  p.announcements.resize(32);
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
  p.announcements.resize(1);
  p.announcements[0].interval_s = 6553.6;
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
  p.announcements.clear();
  p.leap_seconds = 255;
  EXPECT_EQ(error_of(to_raw(p)), ErrorCode::kOutOfRange);
}

// A list of 31 messages behind a header that has room for none.
TEST(SystemParameters, CountsOfMoreThanThereIsAreRefused) {
  SystemParameters p;
  p.announcements.resize(2);
  Payload payload = encode_fields(to_raw(p).value());
  ASSERT_EQ(payload.size(), 16U);
  payload[7] = static_cast<std::uint8_t>(payload[7] | 0x7CU);  // DF053: 31
  RawSystemParameters raw;
  EXPECT_FALSE(decode_fields(payload, raw));
}

TEST(TextMessage, CharactersAreCountedNotBytes) {
  TextMessage m;
  m.bytes =
      "Gr\xC3\xBC\xC3\x9F"
      "e \xF0\x9F\x9B\xB0";  // an umlaut, a sign
  const RawText raw = to_raw(m).value();
  EXPECT_EQ(raw.characters, 7);
  EXPECT_EQ(raw.bytes.size(), 12U);
  EXPECT_EQ(decoded<RawText>(encode_fields(raw)), raw);
}

TEST(TextMessage, LimitsOfTheFieldsHold) {
  TextMessage m;
  for (int i = 0; i < 85; ++i) {
    m.bytes += "\xE2\x82\xAC";  // 85 characters of three bytes: 255
  }
  EXPECT_TRUE(to_raw(m).has_value());
  m.bytes += 'x';
  EXPECT_EQ(error_of(to_raw(m)), ErrorCode::kOutOfRange);
  m.bytes = std::string(127, 'x');
  EXPECT_TRUE(to_raw(m).has_value());
  m.bytes += 'x';
  EXPECT_EQ(error_of(to_raw(m)), ErrorCode::kOutOfRange);
}

TEST(TextMessage, BadBytesAreKeptButShownSafely) {
  RawText raw;
  raw.bytes = "up\x1B[2Jdown\xFF";
  const TextMessage m = to_text_message(raw);
  EXPECT_EQ(m.bytes, raw.bytes);
  EXPECT_EQ(m.text, "up\xEF\xBF\xBD[2Jdown\xEF\xBF\xBD");
  EXPECT_EQ(error_of(to_raw(m)), ErrorCode::kBadFormat);
}

// kind: cross   a definition: DF423 is 16 bits of 0.02 m
TEST(GlonassBiases, UnknownIsMissingAndTooLargeIsRefused) {
  RawGlonassBiases raw;
  raw.mask = 0b1010;
  raw.bias = {-32768, 0, 7, 0};
  const GlonassBiases b = to_glonass_biases(raw);
  EXPECT_FALSE(b.bias_m[0].has_value());
  EXPECT_FALSE(b.bias_m[1].has_value());
  EXPECT_DOUBLE_EQ(b.bias_m[2].value(), 0.14);
  GlonassBiases large;
  large.bias_m[3] = -655.36;
  EXPECT_EQ(error_of(to_raw(large)), ErrorCode::kOutOfRange);
}

TEST(GlonassBiases, EveryMaskComesBack) {
  for (unsigned mask = 0; mask < 16; ++mask) {
    RawGlonassBiases raw;
    raw.mask = static_cast<std::uint8_t>(mask);
    raw.reserved = 5;
    for (std::size_t i = 0; i < 4; ++i) {
      raw.bias[i] =
          (mask & (8U >> i)) != 0
              ? static_cast<std::int16_t>(-300 + 200 * static_cast<int>(i))
              : std::int16_t{0};
    }
    const Payload payload = encode_fields(raw);
    EXPECT_EQ(payload.size(),
              4U + 2U * static_cast<unsigned>(__builtin_popcount(mask)));
    EXPECT_EQ(decoded<RawGlonassBiases>(payload), raw);
    expect_refused_when_cut<RawGlonassBiases>(payload);
  }
}

}  // namespace
}  // namespace stillpoint::rtcm

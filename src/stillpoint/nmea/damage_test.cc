// Sentences that are not what they should be.
#include <gtest/gtest.h>

#include "stillpoint/nmea/nmea_test_support.h"

namespace stillpoint::nmea {
namespace {

constexpr const char* kGood =
    "GNGGA,123519.25,4807.038,N,01131.000,E,4,08,0.9,545.4,M,46.9,M,1.0,0003";

ErrorCode code_of(std::string_view text) {
  const auto sentence = parse_sentence(text);
  EXPECT_FALSE(sentence.has_value()) << text;
  return sentence ? ErrorCode::kInternal : sentence.error().code;
}

TEST(Damage, AnyFlippedBitIsNoticed) {
  const std::string whole = frame_sentence(kGood);
  const std::string bare = whole.substr(0, whole.size() - 2);
  for (std::size_t i = 0; i < bare.size(); ++i) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      std::string bad = bare;
      bad[i] =
          static_cast<char>(static_cast<unsigned char>(bad[i]) ^ 1U << bit);
      const bool start = i == 0 && (bad[0] == '$' || bad[0] == '!');
      // A capital and a small letter of the checksum say the same.
      const bool hex = i + 2 >= bare.size() && bit == 5 && bare[i] >= 'A';
      EXPECT_EQ(parse_sentence(bad).has_value(), start || hex) << bad;
    }
  }
}

TEST(Damage, SentencesCutShortAreRefused) {
  const std::string whole = frame_sentence(kGood);
  for (std::size_t size = 0; size + 2 < whole.size(); ++size) {
    EXPECT_FALSE(parse_sentence(whole.substr(0, size)).has_value()) << size;
  }
}

TEST(Damage, LineEndsAreOptionalAndNothingElseFollows) {
  const std::string whole = frame_sentence(kGood);
  const std::string bare = whole.substr(0, whole.size() - 2);
  EXPECT_TRUE(parse_sentence(bare).has_value());
  EXPECT_TRUE(parse_sentence(bare + "\n").has_value());
  EXPECT_TRUE(parse_sentence(bare + "\r\n").has_value());
  EXPECT_EQ(code_of(bare + " "), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(whole + whole), ErrorCode::kBadFormat);
}

TEST(Damage, ChecksumIsRequiredAndMayHaveSmallLetters) {
  EXPECT_EQ(code_of("$GPGGA,,,,,,,,,,,,,,"), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of("$GPGGA,,,,,,,,,,,,,,*00"), ErrorCode::kBadChecksum);
  EXPECT_EQ(code_of("$GPGGA,,,,,,,,,,,,,,*G0"), ErrorCode::kBadFormat);
  EXPECT_TRUE(parse_sentence(
      "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6a"));
}

TEST(Damage, AddressesAreCapitalsAndDigits) {
  for (const char* body : {"",
                           "GP",
                           "gpgga,",
                           "GP GGA,",
                           "$GPGGA,",
                           "GP\xC3,",
                           "GPABCDEFGHIJKLMNOP,"}) {
    EXPECT_EQ(refused(body).code, ErrorCode::kBadFormat) << body;
  }
}

TEST(Damage, TooFewFieldsAreTruncated) {
  EXPECT_EQ(refused("GPGGA,,,,,,,,,,,,,").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("GPRMC,,,,,,,,,,").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("GPGST,,,,,,,").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("GPGSV,1,1").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("GPGGA").where, "GPGGA");
}

TEST(Damage, FieldsThatMakersAppendAreNotLookedAt) {
  EXPECT_EQ(decoded<Gga>(std::string(kGood) + ",more").reference_id, 3);
  EXPECT_EQ(refused(kGood + std::string(40, ',')).code, ErrorCode::kBadFormat);
}

TEST(Damage, FieldsOfAnotherShapeAreNamed) {
  const Error error = refused("GPGGA,,48x7.0,N,,,,,,,,,,,");
  EXPECT_EQ(error.code, ErrorCode::kBadFormat);
  EXPECT_EQ(error.where, "GPGGA");
  EXPECT_EQ(error.what, "field 2 is '48x7.0'");
  for (const char* body : {"GPGGA,12351,,,,,,,,,,,,,",
                           "GPGGA,1235190,,,,,,,,,,,,,",
                           "GPGGA,-12351,,,,,,,,,,,,,",
                           "GPGGA,12351e1,,,,,,,,,,,,,",
                           "GPGGA,,7.0,N,,,,,,,,,,,",
                           "GPGGA,,-4807.0,N,,,,,,,,,,,",
                           "GPGGA,,4807.0,,,,,,,,,,,,",
                           "GPGGA,,4807.0,X,,,,,,,,,,,",
                           "GPGGA,,4807.0,E,,,,,,,,,,,",
                           "GPGGA,,4807.0.0,N,,,,,,,,,,,",
                           "GPGGA,,000004807.0,N,,,,,,,,,,,",
                           "GPGGA,,,,,,1.5,,,,,,,,",
                           "GPGGA,,,,,,A,,,,,,,,",
                           "GPGGA,,,,,,,,nan,,,,,,",
                           "GPGGA,,,,,,,,,545.4,F,,,,",
                           "GPGGA,,,,,,,,,,,,,,12x",
                           "GPRMC,,X,,,,,,,,,",
                           "GPRMC,,AA,,,,,,,,,",
                           "GPRMC,,,,,,,,,2303945,,",
                           "GPRMC,,,,,,,,,2303.4,,",
                           "GPRMC,,,,,,,,,,,,a",
                           "GPGST,,inf,,,,,,"}) {
    EXPECT_EQ(refused(body).code, ErrorCode::kBadFormat) << body;
  }
}

TEST(Damage, NumbersThatCannotBeAreOutOfRange) {
  for (const char* body : {"GPGGA,240000,,,,,,,,,,,,,",
                           "GPGGA,126000,,,,,,,,,,,,,",
                           "GPGGA,123460,,,,,,,,,,,,,",
                           "GPGGA,235961,,,,,,,,,,,,,",
                           "GPGGA,,9000.01,N,,,,,,,,,,,",
                           "GPGGA,,4860.0,N,,,,,,,,,,,",
                           "GPGGA,,,,18000.01,E,,,,,,,,,",
                           "GPGGA,,,,,,10,,,,,,,,",
                           "GPGGA,,,,,,,-1,,,,,,,",
                           "GPGGA,,,,,,,,-0.1,,,,,,",
                           "GPGGA,,,,,,,,,1e300,M,,,,",
                           "GPGGA,,,,,,,,,,,,,-1,",
                           "GPGGA,,,,,,,,,,,,,,99999999",
                           "GPRMC,,,,,,,,360.1,,,",
                           "GPRMC,,,,,,,-1,,,,",
                           "GPRMC,,,,,,,,,300223,,",
                           "GPRMC,,,,,,,,,001223,,",
                           "GPGST,,-1,,,,,,"}) {
    EXPECT_EQ(refused(body).code, ErrorCode::kOutOfRange) << body;
  }
}

TEST(Damage, BlanksAroundANumberAreAllowed) {
  const Gga gga = decoded<Gga>("GPGGA,,,,,, 1 ,   ,  0.9,,,,,,");
  EXPECT_EQ(gga.quality, FixQuality::kSingle);
  EXPECT_FALSE(gga.satellites.has_value());
  EXPECT_EQ(gga.hdop, 0.9);
}

}  // namespace
}  // namespace stillpoint::nmea

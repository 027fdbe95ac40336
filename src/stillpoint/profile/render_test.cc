// The bytes of steps, with values, lengths and checksums.
#include <cmath>
#include <limits>

#include "stillpoint/profile/profile_test_support.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::step_of;

// Invented, at the demo's place.
const StationValues kValues{.x_m = 4279402.4,
                            .y_m = 671220.00006,
                            .z_m = -4666639.5,
                            .lat_deg = 47.3,
                            .lon_deg = -0.0000000001,
                            .ellipsoidal_height_m = 512.25};

Bytes bytes_of(const std::string& lines, const StationValues& values) {
  const auto bytes = render(step_of(lines), values);
  EXPECT_TRUE(bytes) << bytes.error().text();
  return bytes ? *bytes : Bytes();
}

std::string text_of(const std::string& lines) {
  return test::text_of(bytes_of(lines, kValues));
}

TEST(Render, ATextGetsItsLineEnd) {
  EXPECT_EQ(text_of("text = 'RATE 1'"), "RATE 1\r\n");
  EXPECT_EQ(text_of("text = 'RATE 1'\nline_end = 'cr'"), "RATE 1\r");
  EXPECT_EQ(text_of("text = 'RATE 1'\nline_end = 'none'"), "RATE 1");
}

// kind: published   source: the GGA sentence that manuals print as the example
// of NMEA 0183, checksum 47; from memory   tolerance: 0, a checksum
TEST(Render, ASentenceGetsItsChecksum) {
  const std::string body =
      "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,";
  EXPECT_EQ(text_of("text = '" + body + "'\nchecksum = 'nmea'"),
            body + "*47\r\n");
}

TEST(Render, TheChecksumOfASentenceCoversItsValues) {
  // kind: cross   source: exclusive or of the bytes, by a script
  EXPECT_EQ(text_of("text = '$A{x_m:.1}'\nchecksum = 'nmea'\n"
                    "line_end = 'none'"),
            "$A4279402.4*65");
}

TEST(Render, DecimalsAreThoseAskedFor) {
  EXPECT_EQ(text_of("text = '{x_m}|{lat_deg}|{ellipsoidal_height_m}'\n"
                    "line_end = 'none'"),
            "4279402.4000|47.300000000|512.2500");
  EXPECT_EQ(text_of("text = '{x_m:.0} {lat_deg:.12} {z_m:.1}'\n"
                    "line_end = 'none'"),
            "4279402 47.300000000000 -4666639.5");
  EXPECT_EQ(text_of("text = '{y_m:scale=1000,.0},{y_m:.3,scale=0.001}'\n"
                    "line_end = 'none'"),
            "671220000,671.220");
}

TEST(Render, ThereIsNoNegativeZero) {
  EXPECT_EQ(text_of("text = '{lon_deg} {lon_deg:.10}'\nline_end = 'none'"),
            "0.000000000 -0.0000000001");
}

TEST(Render, DoubledBracesAreBraces) {
  EXPECT_EQ(text_of("text = '{{x_m}} {{{x_m:.0}}}'\nline_end = 'none'"),
            "{x_m} {4279402}");
}

// kind: cross   source: Python's struct.pack of the whole numbers
// tolerance: 0, bytes
TEST(Render, ScaledNumbersHaveEveryFormAndOrder) {
  const std::pair<const char*, const char*> forms[] = {
      {"{x_m:scale=10000,i64le}", "40fcb8f609000000"},
      {"{x_m:i64be,scale=10000}", "00000009f6b8fc40"},
      {"{z_m:scale=10000,i64be}", "fffffff522775288"},
      {"{z_m:scale=100,i32le}", "f2452fe4"},
      {"{z_m:scale=100,i32be}", "e42f45f2"},
      {"{x_m:scale=1000,u32be}", "ff127fa0"},
      {"{x_m:scale=1000,u32le}", "a07f12ff"},
      {"{x_m:scale=10000,u64le}", "40fcb8f609000000"},
      {"{x_m:scale=10000,u64be}", "00000009f6b8fc40"},
      {"{ellipsoidal_height_m:scale=10,i16le}", "0314"},
      {"{ellipsoidal_height_m:scale=10,i16be}", "1403"},
      {"{ellipsoidal_height_m:scale=100,u16le}", "19c8"},
      {"{ellipsoidal_height_m:scale=100,u16be}", "c819"},
      {"{lat_deg:i8}", "2f"},
      {"{lat_deg:scale=5,u8}", "ed"},
      {"{lat_deg:f64be}", "4047a66666666666"},
      {"{lat_deg:f64le}", "6666666666a64740"},
      {"{lat_deg:f32be}", "423d3333"},
      {"{lat_deg:f32le}", "33333d42"}};
  for (const auto& [form, hex] : forms) {
    EXPECT_EQ(bytes_of("hex = '" + std::string(form) + "'", kValues),
              from_hex(hex))
        << form;
  }
}

TEST(Render, WholeNumbersAreRounded) {
  StationValues values;
  const std::pair<double, const char*> cases[] = {
      {1.4999, "01"}, {1.5, "02"}, {-1.4999, "FF"}, {-1.5, "FE"}};
  for (const auto& [value, hex] : cases) {
    values.x_m = value;
    EXPECT_EQ(bytes_of("hex = '{x_m:i8}'", values), from_hex(hex)) << value;
  }
}

TEST(Render, TheLimitsOfANumberFitAndWhatIsBeyondIsRefused) {
  const double limit63 = std::ldexp(1, 63);
  const double limit64 = std::ldexp(1, 64);
  struct Case {
    const char* form;
    double lowest, highest, below, above;
  };
  const Case cases[] = {
      {"i8", -128, 127, -128.5, 127.5},
      {"u8", 0, 255, -0.5, 255.5},
      {"i16le", -32768, 32767, -32769, 32768},
      {"u16be", 0, 65535, -1, 65536},
      {"i32le", -2147483648.0, 2147483647.0, -2147483649.0, 2147483648.0},
      {"u32le", 0, 4294967295.0, -1, 4294967296.0},
      {"i64le", -limit63, std::nextafter(limit63, 0), -1.1 * limit63, limit63},
      {"u64be", 0, std::nextafter(limit64, 0), -1, limit64},
      {"f32le", -3.4e38, 3.4e38, -3.5e38, 3.5e38}};
  for (const Case& c : cases) {
    const Step step = step_of("hex = '{x_m:" + std::string(c.form) + "}'");
    StationValues values;
    for (const double value : {c.lowest, c.highest}) {
      values.x_m = value;
      EXPECT_TRUE(render(step, values)) << c.form << " " << value;
    }
    for (const double value : {c.below,
                               c.above,
                               std::numeric_limits<double>::infinity(),
                               std::numeric_limits<double>::quiet_NaN()}) {
      values.x_m = value;
      const auto refused = render(step, values);
      ASSERT_FALSE(refused) << c.form << " " << value;
      EXPECT_EQ(refused.error().code, ErrorCode::kOutOfRange);
      EXPECT_EQ(refused.error().where, step.place);
      EXPECT_NE(refused.error().what.find("x_m"), std::string::npos);
    }
  }
}

TEST(Render, ATextTakesNoEndlessNumber) {
  const Step step = step_of("text = '{x_m:.15}'");
  StationValues values;
  for (const double value :
       {1e15, -1e300, std::numeric_limits<double>::quiet_NaN()}) {
    values.x_m = value;
    EXPECT_FALSE(render(step, values)) << value;
  }
  values.x_m = -999999999999999;
  EXPECT_EQ(test::text_of(*render(step, values)),
            "-999999999999999.000000000000000\r\n");
  EXPECT_FALSE(render(step_of("hex = '{x_m:f64le}'"),
                      {.x_m = std::numeric_limits<double>::infinity()}));
}

// kind: cross   source: Python's zlib.crc32 of the bytes 2 to 7
// tolerance: 0, bytes
TEST(Render, AFramedPacketGetsItsLengthAndChecksum) {
  EXPECT_EQ(
      bytes_of("hex = '9EC4 10 00 {length} E803'\nframing = 'SPDEMO'", kValues),
      from_hex("9EC4 10 00 0200 E803 ed43b317"));
  EXPECT_EQ(
      bytes_of("hex = '9EC4 10 00 0200 E803'\nframing = 'SPDEMO'", kValues),
      from_hex("9EC4 10 00 0200 E803 ed43b317"));
}

// kind: cross   source: the splitter, which shares only the checksums
TEST(Render, APacketWithValuesIsFoundByItsFraming) {
  const Profile profile = test::profile_of(
      std::string(test::kDemoFraming) +
      "[[step]]\nname = 'x'\nframing = 'SPDEMO'\n"
      "hex = '9EC4 12 00 {length} {x_m:scale=10000,i64le} 01 {lat_deg:f32le}'");
  const auto packet = render(profile.steps.front(), kValues);
  ASSERT_TRUE(packet);
  EXPECT_EQ(packet->size(), 6U + 8 + 1 + 4 + 4);
  const auto got = test::split(*packet, profile.framings);
  ASSERT_EQ(got.frames.size(), 1U);
  EXPECT_EQ(got.frames.front().bytes, *packet);
  EXPECT_EQ(Bytes(packet->begin() + 4, packet->begin() + 6), from_hex("0D00"));
}

TEST(Render, ValuesThatAreMissingAreNamedOnce) {
  const Step step =
      step_of("text = '{x_m},{lat_deg},{x_m:.1},{ellipsoidal_height_m}'");
  EXPECT_EQ(
      missing_values(step, {}),
      (std::vector<std::string>{"x_m", "lat_deg", "ellipsoidal_height_m"}));
  EXPECT_EQ(missing_values(step, {.x_m = 1, .ellipsoidal_height_m = 2}),
            (std::vector<std::string>{"lat_deg"}));
  EXPECT_TRUE(missing_values(step, kValues).empty());
  EXPECT_TRUE(missing_values(step_of("text = 'x'"), {}).empty());
}

TEST(Render, EveryNameHasItsValue) {
  EXPECT_EQ(text_of("text = '{x_m:.0} {y_m:.0} {z_m:.0} {lat_deg:.1} "
                    "{lon_deg:.0} {ellipsoidal_height_m:.2}'"),
            "4279402 671220 -4666640 47.3 0 512.25\r\n");
}

}  // namespace
}  // namespace stillpoint::profile

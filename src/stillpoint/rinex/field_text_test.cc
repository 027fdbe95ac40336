#include "stillpoint/rinex/field_text.h"

#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

namespace stillpoint::rinex::field {
namespace {

// The fast path and, where it declines, the general one.
Shape parse(const std::string& text, double& value) {
  const Shape shape = parse_f14_3(text.data(), value);
  return shape == Shape::kOdd ? parse_odd(text, value) : shape;
}

// kind: cross   two routes to the same decimal text, the C library's and ours
// tolerance: none, both promise the nearest double
TEST(FixedField, EqualsTheLibraryForEveryLengthAndSign) {
  std::mt19937_64 random(20260801);
  for (int i = 0; i < 200'000; ++i) {
    const int bits = static_cast<int>(random() % 43);
    auto thousandths = static_cast<long long>(random() >> (63 - bits));
    if (thousandths >= 1'000'000'000'000) {
      continue;
    }
    thousandths = i % 3 == 0 ? -thousandths : thousandths;
    std::array<char, 32> text{};
    std::snprintf(text.data(),
                  text.size(),
                  "%s%lld.%03lld",
                  thousandths < 0 ? "-" : "",
                  std::llabs(thousandths) / 1000,
                  std::llabs(thousandths) % 1000);
    const std::string number = text.data();
    const std::string field = std::string(14 - number.size(), ' ') + number;
    double value = 0;
    const Shape shape = parse(field, value);
    if (thousandths == 0) {
      ASSERT_EQ(shape, Shape::kBlank) << field;
    } else {
      ASSERT_EQ(shape, Shape::kNumber) << field;
      ASSERT_EQ(value, std::strtod(number.c_str(), nullptr)) << field;
    }
  }
}

TEST(FixedField, ShapesThatFilesAlsoWrite) {
  const std::array<std::pair<const char*, double>, 9> cases{
      {{"         -.715", -0.715},
       {"          .500", 0.5},
       {"  1234567.8901", 1234567.8901},
       {"1234567890.123", 1234567890.123},
       {"-123456789.123", -123456789.123},
       {"      +12.500 ", 12.5},
       {"12.500        ", 12.5},
       {"        1.0E+3", 1000.0},
       {"        1.0D+3", 1000.0}}};
  for (const auto& [text, expected] : cases) {
    double value = 0;
    EXPECT_EQ(parse(text, value), Shape::kNumber) << text;
    EXPECT_EQ(value, expected) << text;
  }
}

TEST(FixedField, BlankAndZeroAreNotMeasured) {
  double value = 1;
  EXPECT_EQ(parse("              ", value), Shape::kBlank);
  EXPECT_EQ(parse("         0.000", value), Shape::kBlank);
  EXPECT_EQ(parse("          .000", value), Shape::kBlank);
  EXPECT_EQ(parse("        -0.000", value), Shape::kBlank);
  EXPECT_EQ(parse("             0", value), Shape::kBlank);
}

TEST(FixedField, OtherTextIsBad) {
  for (const char* text : {"    12 345.678",
                           "    1-2345.678",
                           "    --2345.678",
                           "    -%2345.678",
                           "    %12345.678",
                           "    1234x.678 ",
                           "       abc.def",
                           "      12345,67",
                           "           nan",
                           "           inf",
                           "      1.0E+999",
                           "      12.34.56",
                           "             -"}) {
    double value = 0;
    EXPECT_EQ(parse(text, value), Shape::kBad) << text;
  }
}

// Every byte in every place: never a number that the general parser would
// refuse or read differently.
// kind: cross   fast path against std::from_chars
TEST(FixedField, AnyByteAnywhereIsReadAsTheGeneralParserReadsIt) {
  for (const std::string base :
       {"    -12345.678", "  23439008.766", "        45.000"}) {
    for (std::size_t place = 0; place < base.size(); ++place) {
      for (int c = 0; c < 256; ++c) {
        std::string text = base;
        text[place] = static_cast<char>(c);
        double fast = 0;
        const Shape shape = parse_f14_3(text.data(), fast);
        if (shape == Shape::kOdd) {
          continue;
        }
        double general = 0;
        ASSERT_EQ(parse_odd(text, general), shape) << text;
        ASSERT_EQ(fast, general) << text;
      }
    }
  }
}

TEST(Numbers, IntegersAndRealsOfHeaders) {
  EXPECT_EQ(integer("   12 "), 12);
  EXPECT_EQ(integer("+7"), 7);
  EXPECT_EQ(integer("-7"), -7);
  EXPECT_FALSE(integer("").has_value());
  EXPECT_FALSE(integer("1 2").has_value());
  EXPECT_FALSE(integer("99999999999").has_value());
  EXPECT_EQ(real(" .0000 "), 0.0);
  EXPECT_EQ(real("-2.5d-1"), -0.25);
  EXPECT_FALSE(real("1.2.3").has_value());
  EXPECT_FALSE(real(std::string(100, '1')).has_value());
}

}  // namespace
}  // namespace stillpoint::rinex::field

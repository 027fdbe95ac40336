#include "stillpoint/rinex/observation_writer_fields.h"

#include <gtest/gtest.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <limits>
#include <random>
#include <string>

#include "stillpoint/rinex/field_text.h"

namespace stillpoint::rinex {
namespace {

std::string f14_3(std::int64_t number) {
  std::string text(14, '?');
  print_f14_3(text.data(), number);
  return text;
}

// The digits of a double's exact decimal value, rounded half to even by the
// standard library, without their point.
std::int64_t by_to_chars(double value, int decimals) {
  std::array<char, 400> text{};
  const auto [end, error] = std::to_chars(text.data(),
                                          text.data() + text.size(),
                                          value,
                                          std::chars_format::fixed,
                                          decimals);
  std::string digits(text.data(), end);
  std::erase(digits, '.');
  return std::stoll(digits);
}

// kind: cross   std::to_chars of the same double   tolerance: none
TEST(NearestUnits, RoundsTheExactDecimalValue) {
  std::mt19937_64 engine(3);
  for (unsigned i = 0; i < 200'000; ++i) {
    // Near halves of a thousandth, at every size that F14.3 holds.
    const auto whole = static_cast<double>(engine() >> (18U + i % 40));
    double value = (whole + 0.5) / 1000;
    for (unsigned step = 0; step < engine() % 4; ++step) {
      value = std::nextafter(value, engine() % 2 == 0 ? 0 : 1e300);
    }
    value = engine() % 2 == 0 ? value : -value;
    if (std::abs(value) < 1e11) {
      ASSERT_EQ(nearest_units(value, 1000), by_to_chars(value, 3)) << value;
    }
    const double clock_s = value / 1e12;
    ASSERT_EQ(nearest_units(clock_s, 1e12), by_to_chars(clock_s, 12));
  }
}

TEST(NearestUnits, HalvesThatADoubleHoldsGoToTheEvenOne) {
  EXPECT_EQ(nearest_units(0.0625, 1000), 62);
  EXPECT_EQ(nearest_units(0.1875, 1000), 188);
  EXPECT_EQ(nearest_units(-0.0625, 1000), -62);
}

// 0.0005 is a little more than a half as a double, 1.0005 a little less; both
// products come out as a half.
TEST(NearestUnits, ProductsRoundedToAHalfAreLookedAtAgain) {
  EXPECT_EQ(nearest_units(1.0005, 1000), by_to_chars(1.0005, 3));
  EXPECT_EQ(nearest_units(2.6775, 1000), by_to_chars(2.6775, 3));
  EXPECT_EQ(nearest_units(20'000'000.0005, 1000),
            by_to_chars(20'000'000.0005, 3));
}

TEST(NearestUnits, WhatIsNoNumberOrTooLargeHasNone) {
  EXPECT_EQ(nearest_units(std::nan(""), 1000), kNoNumber);
  EXPECT_EQ(nearest_units(std::numeric_limits<double>::infinity(), 1000),
            kNoNumber);
  EXPECT_EQ(nearest_units(-1e300, 1000), kNoNumber);
  EXPECT_EQ(nearest_units(1e12, 1000), kNoNumber);
  EXPECT_EQ(nearest_units(9.99e11, 1000), 999'000'000'000'000);
}

// kind: cross   std::snprintf   tolerance: none
TEST(PrintF14, EqualsTheStandardLibrarys) {
  std::mt19937_64 engine(5);
  for (unsigned i = 0; i < 100'000; ++i) {
    auto number = static_cast<std::int64_t>(engine() >> (20U + i % 44)) %
                  (kMaxThousandths + 1);
    number = engine() % 2 == 0 ? number : -number % (1 - kMinThousandths);
    std::array<char, 40> text{};
    std::snprintf(
        text.data(), text.size(), "%14.3f", static_cast<double>(number) / 1000);
    ASSERT_EQ(f14_3(number), std::string(text.data())) << number;
  }
}

TEST(PrintF14, FillsItsColumnsAtTheLimits) {
  EXPECT_EQ(f14_3(kMaxThousandths), "9999999999.999");
  EXPECT_EQ(f14_3(kMinThousandths), "-999999999.999");
  EXPECT_EQ(f14_3(0), "         0.000");
  EXPECT_EQ(f14_3(-1), "        -0.001");
  EXPECT_EQ(f14_3(100'000), "       100.000");
  EXPECT_EQ(f14_3(-99'999), "       -99.999");
}

// kind: cross   the reader's field   tolerance: none, the same double
TEST(PrintF14, ReadsBackAsTheSameNumber) {
  std::mt19937_64 engine(7);
  for (int i = 0; i < 50'000; ++i) {
    const auto number =
        1 + static_cast<std::int64_t>(engine() >> 21U) % (kMaxThousandths - 1);
    double value = 0;
    const std::string text = f14_3(number);
    auto shape = field::parse_f14_3(text.data(), value);
    if (shape == field::Shape::kOdd) {
      shape = field::parse_odd(text, value);
    }
    ASSERT_EQ(shape, field::Shape::kNumber) << text;
    ASSERT_EQ(nearest_units(value, 1000), number);
  }
}

TEST(PrintFixed, TellsWhatDoesNotFit) {
  std::string text = "x";
  EXPECT_TRUE(append_fixed(text, -123, 6, 2));
  EXPECT_EQ(text, "x -1.23");
  EXPECT_FALSE(append_fixed(text, -12345, 6, 2));
  EXPECT_EQ(text, "x -1.23");
  EXPECT_TRUE(append_fixed(text, 7, 3, 0));
  EXPECT_EQ(text, "x -1.23  7");
  EXPECT_TRUE(append_fixed(text, 5, 5, 3));
  EXPECT_EQ(text, "x -1.23  70.005");
  EXPECT_FALSE(
      append_fixed(text, std::numeric_limits<std::int64_t>::min(), 9, 3));
}

TEST(Integers, AlignRight) {
  std::string text;
  append_integer(text, 7, 3);
  append_integer(text, 12345, 3);
  append_padded(text, 7, 3);
  append_padded(text, 2024, 4);
  EXPECT_EQ(text, "  7123450072024");
}

TEST(Blanks, ArePutOnAndTakenOff) {
  std::string text = "a  ";
  pad(text, 5);
  EXPECT_EQ(text, "a    ");
  pad(text, 2);
  EXPECT_EQ(text.size(), 5U);
  trim_end(text, 2);
  EXPECT_EQ(text, "a ");
}

}  // namespace
}  // namespace stillpoint::rinex

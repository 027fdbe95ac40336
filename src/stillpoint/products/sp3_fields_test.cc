#include "stillpoint/products/sp3_fields.h"

#include <gtest/gtest.h>

#include <charconv>
#include <string>

namespace stillpoint::products {
namespace {

TEST(ToNumber, TakesPlainDecimalsOnly) {
  EXPECT_EQ(to_number("12.5"), 12.5);
  EXPECT_EQ(to_number("-12.5"), -12.5);
  EXPECT_EQ(to_number("+12.5"), 12.5);
  EXPECT_EQ(to_number(".00000000"), 0.0);
  EXPECT_EQ(to_number("-.5"), -0.5);
  EXPECT_EQ(to_number("7"), 7.0);
  EXPECT_EQ(to_number("123456789012345678.5"), 123456789012345678.5);
  for (const char* text : {"",
                           "-",
                           "+",
                           ".",
                           "-.",
                           "1 2",
                           "1.2.3",
                           "nan",
                           "inf",
                           "-inf",
                           "1e5",
                           "0x10",
                           "--1",
                           "+-1",
                           "1,5",
                           "12x",
                           "x12",
                           "infinity",
                           "nan(1)"}) {
    EXPECT_FALSE(to_number(text)) << text;
  }
}

// kind: cross (the C++ library's correctly rounded conversion)
// tolerance: none, every bit
TEST(ToNumber, MeetsTheLibraryBitForBit) {
  unsigned state = 3;
  for (int i = 0; i < 20'000; ++i) {
    std::string text = i % 2 == 0 ? "-" : "";
    state = state * 1664525U + 1013904223U;
    text += std::to_string(state >> (4U + state % 13U)) + ".";
    state = state * 1664525U + 1013904223U;
    text += std::to_string(state >> (12U + state % 7U));
    double expected = 0;
    std::from_chars(text.data(), text.data() + text.size(), expected);
    EXPECT_EQ(to_number(text), expected) << text;
  }
}

TEST(Column, CutsBlanksAndToleratesShortLines) {
  EXPECT_EQ(column("ab  cd  ", 2, 8), "cd");
  EXPECT_EQ(column("ab  cd", 2, 80), "cd");
  EXPECT_EQ(column("ab", 2, 8), "");
  EXPECT_EQ(column("", 0, 3), "");
  EXPECT_EQ(column("a b", 0, 3), "a b");
  EXPECT_EQ(column("    ", 0, 4), "");
}

}  // namespace
}  // namespace stillpoint::products

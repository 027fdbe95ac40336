#include "stillpoint/products/fixed_text.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/products/product_test_support.h"

namespace stillpoint::products {
namespace {

TEST(FixedText, RealNumbersHaveExponentsOfBothKinds) {
  EXPECT_EQ(to_real("-.7437E+01"), -7.437);
  EXPECT_EQ(to_real("1.25D-03"), 1.25e-3);
  EXPECT_EQ(to_real("+1"), 1);
  for (const char* text :
       {"", "+", "+-1", "1 ", "nan", "inf", "1e999", "E", "1D2D3", "0x1"}) {
    EXPECT_FALSE(to_real(text)) << text;
  }
}

TEST(FixedText, NumbersFillTheirColumns) {
  FixedLine line;
  line.fraction(-0.000884707516318, 20, 12).fraction(0, 20, 12);
  EXPECT_EQ(line.view(), " -0.884707516318E-03  0.000000000000E+00");
  // Digits that round up to the next power of ten.
  EXPECT_EQ(FixedLine().fraction(0.99999999, 10, 3).view(), " 0.100E+01");
  EXPECT_EQ(FixedLine().scientific(-12.5, 10, 3).view(), " -1.25E+01");
  EXPECT_EQ(FixedLine().scientific(-1e-120, 8, 2).view(), " 0.0E+00");
  EXPECT_EQ(FixedLine().fixed(-0.001, 7, 2).view(), "   0.00");
  EXPECT_EQ(FixedLine().integer(-7, 4).text("ab", 3).column(9).view(),
            "  -7ab   ");
}

TEST(FixedText, WhatDoesNotFitIsNeverCut) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(FixedLine().text("abcd", 3).problem().empty());
  EXPECT_FALSE(FixedLine().text("a\nb", 9).problem().empty());
  EXPECT_FALSE(FixedLine().fixed(12345.6, 6, 2).problem().empty());
  EXPECT_FALSE(FixedLine().fixed(nan, 6, 2).problem().empty());
  EXPECT_FALSE(FixedLine().scientific(1e150, 8, 2).problem().empty());
  EXPECT_FALSE(FixedLine().text("abcd", 4).column(3).problem().empty());
}

TEST(FixedText, FirstErrorStaysAndNothingMoreIsWritten) {
  TextSink sink;
  LineWriter out(sink);
  out.put("one  ");
  out.put(FixedLine().text("too long", 3));
  out.put("three");
  const auto status = out.finish();
  ASSERT_FALSE(status);
  EXPECT_EQ(status.error().code, ErrorCode::kOutOfRange);
  EXPECT_EQ(status.error().where, "line 2 of the text");
  EXPECT_EQ(status.error().what, "'too long' does not fit 3 columns");
  EXPECT_EQ(sink.text.find("three"), std::string::npos);
}

TEST(FixedText, SinkErrorsComeOut) {
  TextSink sink;
  sink.full = true;
  LineWriter out(sink);
  out.put("one");
  const auto status = out.finish();
  ASSERT_FALSE(status);
  EXPECT_EQ(status.error().code, ErrorCode::kIo);
}

}  // namespace
}  // namespace stillpoint::products

#include "stillpoint/rinex/navigation_fields.h"

#include <gtest/gtest.h>

namespace stillpoint::rinex::nav {
namespace {

// kind: cross
// source: one number written in six ways
// tolerance: exact
TEST(ParseNumber, TakesEveryWayOfWritingAnExponent) {
  for (const char* text : {" 0.125D-02",
                           "0.125d-02 ",
                           "1.25E-03",
                           "  1.25e-03",
                           "+.00125",
                           "+0.125D-02"}) {
    const Number n = parse_number(text);
    EXPECT_EQ(n.kind, Number::Kind::kValue) << text;
    EXPECT_DOUBLE_EQ(n.value, 1.25e-3) << text;
  }
  EXPECT_EQ(parse_number("-.75D+01").value, -7.5);
}

TEST(ParseNumber, BlankIsNotZeroAndNotBad) {
  EXPECT_EQ(parse_number("").kind, Number::Kind::kBlank);
  EXPECT_EQ(parse_number("                   ").kind, Number::Kind::kBlank);
}

TEST(ParseNumber, RefusesWhatIsNoFiniteNumber) {
  for (const char* text : {"x",
                           "1.0.0",
                           "1 2",
                           "1D",
                           "--1",
                           "+-1",
                           "nan",
                           "inf",
                           "1D999",
                           "0x10",
                           "1.0D+01 2",
                           "123456789012345678901234567890123"}) {
    EXPECT_EQ(parse_number(text).kind, Number::Kind::kBad) << text;
  }
}

TEST(ParseNumber, UnderflowIsZero) {
  const Number n = parse_number("1.0D-999");
  EXPECT_EQ(n.kind, Number::Kind::kValue);
  EXPECT_EQ(n.value, 0);
}

TEST(ParseHead, ReadsBothColumnLayouts) {
  const auto old =
      parse_head(" 6 99 12 31 23 59 59.5-0.1D-03 0.1D-11 0.0D+00", 2.1, 'G');
  ASSERT_TRUE(old);
  EXPECT_EQ(old->sat, (SatId{System::kGps, 6}));
  EXPECT_EQ(old->time.year, 1999);
  EXPECT_EQ(old->time.second, 59.5);
  const auto modern = parse_head("E31 2024 02 29 00 10 00 1.0E-04", 3.04, 'G');
  ASSERT_TRUE(modern);
  EXPECT_EQ(modern->sat, (SatId{System::kGalileo, 31}));
  EXPECT_EQ(modern->time.day, 29);
  EXPECT_EQ(modern->time.minute, 10);
}

TEST(ParseHead, NamesWhatIsWrong) {
  EXPECT_EQ(parse_head("Q31 2024 02 29 00 10 00", 3, 'G').error().what,
            "'Q31' is not a satellite");
  EXPECT_EQ(parse_head("G31 2024 02 2x 00 10 00", 3, 'G').error().what,
            "G31: the reference time is not readable");
  EXPECT_FALSE(parse_head("", 3, 'G'));
}

}  // namespace
}  // namespace stillpoint::rinex::nav

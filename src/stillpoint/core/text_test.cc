#include "stillpoint/core/text.h"

#include <gtest/gtest.h>

#include <array>
#include <limits>
#include <string>

namespace stillpoint {
namespace {

TEST(Trim, TakesBlanksAndLineEnds) {
  EXPECT_EQ(trim("  a b \r\n"), "a b");
  EXPECT_EQ(trim_right("  a b \r\n"), "  a b");
  EXPECT_EQ(trim(" \t "), "");
  EXPECT_EQ(trim(""), "");
}

TEST(Columns, ShortLinesGiveWhatTheyHave) {
  EXPECT_EQ(columns("abcdef", 1, 3), "bcd");
  EXPECT_EQ(columns("abcdef", 4, 10), "ef");
  EXPECT_EQ(columns("abcdef", 6, 1), "");
  EXPECT_EQ(columns("abcdef", 999, 1), "");
  EXPECT_EQ(columns("", 0, std::string_view::npos), "");
}

TEST(ParseDouble, TakesTheWholeTextOrNothing) {
  EXPECT_EQ(parse_double(" -1.5e3 "), -1500);
  EXPECT_EQ(parse_double("+.25"), 0.25);
  EXPECT_EQ(parse_double("7"), 7);
  for (const char* text :
       {"", " ", "1.5x", "1 2", "+-1", "++1", "nan", "inf", "1e999", "0x10"}) {
    EXPECT_FALSE(parse_double(text)) << text;
  }
}

TEST(ParseInt, TakesTheWholeTextOrNothing) {
  EXPECT_EQ(parse_int(" 42\r\n"), 42);
  EXPECT_EQ(parse_int("-9223372036854775808"),
            std::numeric_limits<std::int64_t>::min());
  for (const char* text : {"", "1.0", "1e3", "x7", "9223372036854775808"}) {
    EXPECT_FALSE(parse_int(text)) << text;
  }
}

TEST(EditDistance, CountsLettersAndSwaps) {
  EXPECT_EQ(edit_distance("", ""), 0U);
  EXPECT_EQ(edit_distance("", "abc"), 3U);
  EXPECT_EQ(edit_distance("locate", "locate"), 0U);
  EXPECT_EQ(edit_distance("loacte", "locate"), 1U);
  EXPECT_EQ(edit_distance("locat", "locate"), 1U);
  EXPECT_EQ(edit_distance("locatte", "locate"), 1U);
  EXPECT_EQ(edit_distance("lokate", "locate"), 1U);
  EXPECT_EQ(edit_distance("abc", "xyz"), 3U);
}

TEST(Suggest, NamesTheNearestWordIfOneIsNear) {
  constexpr std::array<std::string_view, 5> kVerbs{
      "locate", "listen", "tie", "inspect", "transform"};
  EXPECT_EQ(suggest("loacte", kVerbs), "locate");
  EXPECT_EQ(suggest("inpsect", kVerbs), "inspect");
  EXPECT_EQ(suggest("transfrom", kVerbs), "transform");
  EXPECT_EQ(suggest("tei", kVerbs), "tie");
  EXPECT_EQ(suggest("tie", kVerbs), "tie");
  EXPECT_FALSE(suggest("xyz", kVerbs));
  EXPECT_FALSE(suggest("", kVerbs));
  EXPECT_FALSE(suggest(std::string(100'000, 'l'), kVerbs));
  EXPECT_FALSE(suggest("locate", {}));
}

TEST(ParseDuration, TakesSecondsAndTheUsualUnits) {
  EXPECT_EQ(parse_duration_s("10s"), 10.0);
  EXPECT_EQ(parse_duration_s("10"), 10.0);
  EXPECT_EQ(parse_duration_s("250ms"), 0.25);
  EXPECT_EQ(parse_duration_s("1.5h"), 5400.0);
  EXPECT_EQ(parse_duration_s("2m"), 120.0);
  EXPECT_EQ(parse_duration_s("1d"), 86'400.0);
}

TEST(ParseDuration, RefusesWhatIsNoLengthOfTime) {
  for (const char* text : {"", "s", "-1s", "ten", "10x", "1e999s", "5 y"}) {
    EXPECT_FALSE(parse_duration_s(text)) << text;
  }
}

}  // namespace
}  // namespace stillpoint

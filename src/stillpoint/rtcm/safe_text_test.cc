#include "stillpoint/rtcm/safe_text.h"

#include <gtest/gtest.h>

#include <string>

namespace stillpoint::rtcm {
namespace {

const std::string kMark = "\xEF\xBF\xBD";  // U+FFFD

// kind: published   source: RFC 3629, section 7, examples of UTF-8
TEST(Utf8Length, CountsTheCharactersOfTheExamples) {
  EXPECT_EQ(utf8_length("A\xE2\x89\xA2\xCE\x91."), 4U);
  EXPECT_EQ(utf8_length("\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4"), 3U);
  EXPECT_EQ(utf8_length("\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E"), 3U);
  EXPECT_EQ(utf8_length("\xEF\xBB\xBF\xF0\xA3\x8E\xB4"), 2U);
  EXPECT_EQ(utf8_length(""), 0U);
}

// kind: published   source: RFC 3629, sections 3, 4 and 10
TEST(Utf8Length, ForbiddenBytesAreNotUtf8) {
  for (const std::string bad : {"\xC0\x80",          // overlong zero
                                "\xC1\xBF",          // overlong
                                "\xE0\x9F\xBF",      // overlong
                                "\xF0\x8F\xBF\xBF",  // overlong
                                "\xED\xA0\x80",      // half of a pair
                                "\xF4\x90\x80\x80",  // beyond U+10FFFF
                                "\xF5\x80\x80\x80",
                                "\x80",
                                "\xE2\x82",  // ends early
                                "\xE2\x28\xA1",
                                "\xFE",
                                "\xFF"}) {
    EXPECT_FALSE(utf8_length(bad).has_value()) << safe_text(bad);
  }
}

TEST(SafeText, GoodTextStaysAsItIs) {
  const std::string text = "ditch-1: \xD0\xBF\xD1\x80 \xF0\x9F\x9B\xB0";
  EXPECT_EQ(safe_text(text), text);
}

TEST(SafeText, BytesThatAreNotUtf8AreMarkedOneByOne) {
  EXPECT_EQ(safe_text("a\xFF\xE2\x82z"), "a" + kMark + kMark + kMark + "z");
}

TEST(SafeText, NothingThatSteersATerminalGetsThrough) {
  EXPECT_EQ(safe_text("a\x1B[31m"), "a" + kMark + "[31m");
  EXPECT_EQ(safe_text("a\xC2\x9B"
                      "31m"),
            "a" + kMark + "31m");  // CSI, U+009B
  EXPECT_EQ(safe_text("a\x7F\x08"), "a" + kMark + kMark);
  EXPECT_EQ(safe_text("a\xE2\x80\xAE"
                      "b"),
            "a" + kMark + "b");  // U+202E
  EXPECT_EQ(safe_text(std::string("a\0b", 3)), "a" + kMark + "b");
  EXPECT_EQ(safe_text("a\r\n\tb"), "a   b");
}

}  // namespace
}  // namespace stillpoint::rtcm

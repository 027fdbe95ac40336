#include "stillpoint/store/plain_text.h"

#include <gtest/gtest.h>

namespace stillpoint {
namespace {

TEST(PlainLine, LeavesOrdinaryTextAlone) {
  EXPECT_EQ(plain_line("rover ditch-1 came", 100), "rover ditch-1 came");
  EXPECT_EQ(plain_line("L\xC3\xA4rche \xE2\x82\xAC \xF0\x9F\x8C\xB2", 100),
            "L\xC3\xA4rche \xE2\x82\xAC \xF0\x9F\x8C\xB2");
}

TEST(PlainLine, MakesControlCharactersBlanks) {
  EXPECT_EQ(plain_line("a\nb\r\tc\x1B[31m\x7F", 100), "a b  c [31m ");
  EXPECT_EQ(plain_line(std::string_view("a\0b", 3), 100), "a b");
  EXPECT_EQ(plain_line("a\xC2\x9B"
                       "b",
                       100),
            "a b");
}

// kind: published   source: RFC 3629, section 4 (syntax of UTF-8 sequences)
// and section 10 (C0 80, overlong "/../" as 2F C0 AE 2E 2F)
// tolerance: none, bytes
TEST(PlainLine, ReplacesWhatIsNoUtf8) {
  const std::string bad = "\xEF\xBF\xBD";
  EXPECT_EQ(plain_line("\xC0\x80", 100), bad + bad);
  EXPECT_EQ(plain_line("/\xC0\xAE./", 100), "/" + bad + bad + "./");
  EXPECT_EQ(plain_line("\xED\xA0\x80", 100), bad + bad + bad);  // surrogate
  EXPECT_EQ(plain_line("\xE0\x9F\xBF", 100), bad + bad + bad);  // overlong
  EXPECT_EQ(plain_line("\xF4\x90\x80\x80", 100), bad + bad + bad + bad);
  EXPECT_EQ(plain_line("\xF0\x8F\xBF\xBF", 100), bad + bad + bad + bad);
  EXPECT_EQ(plain_line("\xE2\x82", 100), bad + bad);  // cut off
  EXPECT_EQ(plain_line("\xFF", 100), bad);
}

TEST(PlainLine, CutsBetweenCharacters) {
  EXPECT_EQ(plain_line("ab\xE2\x82\xAC", 4), "ab");
  EXPECT_EQ(plain_line("ab\xE2\x82\xAC", 5), "ab\xE2\x82\xAC");
}

TEST(PlainName, IsWhatNeedsNoCleaning) {
  EXPECT_TRUE(is_plain_name("tractor-2", 9));
  EXPECT_FALSE(is_plain_name("tractor-2", 8));
  EXPECT_FALSE(is_plain_name("", 8));
  EXPECT_FALSE(is_plain_name("a\nb", 8));
}

TEST(Utf8Text, MayHaveLinesButNeitherZerosNorBrokenCharacters) {
  EXPECT_TRUE(is_utf8_text(""));
  EXPECT_TRUE(is_utf8_text("{\n\t\"what\": \"\xC3\xA4\"\n}"));
  EXPECT_FALSE(is_utf8_text(std::string_view("a\0b", 3)));
  EXPECT_FALSE(is_utf8_text("a\xC3"));
  EXPECT_FALSE(is_utf8_text("\xFF"));
}

}  // namespace
}  // namespace stillpoint

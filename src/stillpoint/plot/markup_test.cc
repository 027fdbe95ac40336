#include "stillpoint/plot/markup.h"

#include <gtest/gtest.h>

#include "stillpoint/plot/well_formed.h"

namespace stillpoint::plot {
namespace {

constexpr const char* kBad = "\xEF\xBF\xBD";

TEST(Escape, MarkupAndQuotesLoseTheirMeaning) {
  EXPECT_EQ(escape("<b a='1' c=\"2\">&amp;"),
            "&lt;b a=&#39;1&#39; c=&quot;2&quot;&gt;&amp;amp;");
  EXPECT_EQ(escape("Zürich 47° \xF0\x9F\x9B\xB0"),
            "Zürich 47° \xF0\x9F\x9B\xB0");
  EXPECT_EQ(escape("a\tb\n"), "a\tb\n");
}

// The ranges are those of RFC 3629, section 4.
TEST(Escape, WhatIsNoCharacterIsReplaced) {
  const std::string bad(kBad);
  EXPECT_EQ(escape(std::string_view("a\0b\x1b\x7f", 5)),
            "a" + bad + "b" + bad + bad);
  EXPECT_EQ(escape("\xff"), bad);
  EXPECT_EQ(escape("\xC0\xAF"), bad + bad) << "overlong slash";
  EXPECT_EQ(escape("\xE0\x80\xBC"), bad + bad + bad) << "overlong <";
  EXPECT_EQ(escape("\xED\xA0\x80"), bad + bad + bad) << "surrogate";
  EXPECT_EQ(escape("\xEF\xBF\xBF"), bad + bad + bad) << "U+FFFF";
  EXPECT_EQ(escape("\xF4\x90\x80\x80"), bad + bad + bad + bad)
      << "above U+10FFFF";
  EXPECT_EQ(escape("\xE2\x82<"), bad + bad + "&lt;") << "cut before a tag";
  EXPECT_EQ(escape("\xF4\x8F\xBF\xBD"), "\xF4\x8F\xBF\xBD");
}

TEST(Px, HasAtMostATenthAndNoNegativeZero) {
  EXPECT_EQ(px(0), "0");
  EXPECT_EQ(px(-0.04), "0");
  EXPECT_EQ(px(-0.06), "-0.1");
  EXPECT_EQ(px(12.25), "12.3");
  EXPECT_EQ(px(-12), "-12");
  EXPECT_EQ(px(1e300), "1000000");
}

TEST(Picture, SaysWhatItShowsAndStandsAlone) {
  const std::string open =
      open_picture({"a-1", "Up & down", "It rose \"fast\"."}, 100);
  EXPECT_EQ(open.substr(0, open.find("<text")),
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plot\" "
            "role=\"img\" viewBox=\"0 0 640 100\" aria-labelledby=\"a-1-t "
            "a-1-d\"><title id=\"a-1-t\">Up &amp; down</title><desc "
            "id=\"a-1-d\">It rose &quot;fast&quot;.</desc>\n");
  const std::string alone = standalone(open + "</svg>");
  EXPECT_EQ(xml_complaint(alone), "");
  EXPECT_NE(alone.find("prefers-color-scheme:dark"), std::string::npos);
  EXPECT_LT(alone.find("<style>"), alone.find("<title"));
}

TEST(PictureDeathTest, AnIdThatIsNoneIsOurMistake) {
  EXPECT_DEATH(open_picture({"a b", "", ""}, 1), "is_id");
}

TEST(WellFormedText, FindsWhatIsWrong) {
  EXPECT_EQ(xml_complaint("<a b=\"1\"><c/>&lt;</a>"), "");
  for (const char* wrong : {"<a>",
                            "<a></b>",
                            "</a>",
                            "<a><b></a></b>",
                            "a & b",
                            "<a b=1></a>",
                            "<a b=\"1\" b=\"2\"/>",
                            "<a b=\"<\"/>",
                            "<a id=\"x\"/><b id=\"x\"/>",
                            "1 < 2"}) {
    EXPECT_NE(xml_complaint(wrong), "") << wrong;
  }
}

}  // namespace
}  // namespace stillpoint::plot

#include <gtest/gtest.h>

#include <limits>
#include <random>
#include <string>

#include "stillpoint/rinex/hatanaka_core.h"
#include "stillpoint/rinex/observation_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::compress;
using test::read_text;
using test::restore;

TEST(RepairText, BlankKeepsAmpersandErasesOthersReplace) {
  std::string text = "abcdef";
  repair_text(text, " x&");
  EXPECT_EQ(text, "ax def");
  repair_text(text, "      gh &");
  EXPECT_EQ(text, "ax defgh  ");
}

// kind: cross   differences of a cubic are the definition, added up again
TEST(DifferenceArc, FollowsAPolynomialOfItsOrder) {
  const auto cubic = [](std::int64_t t) {
    return 7 * t * t * t - 3 * t * t + 11 * t - 5;
  };
  DifferenceArc arc;
  EXPECT_FALSE(arc.active());
  arc.begin(3, cubic(0));
  EXPECT_EQ(arc.next(cubic(1) - cubic(0)), cubic(1));
  EXPECT_EQ(arc.next(cubic(2) - 2 * cubic(1) + cubic(0)), cubic(2));
  for (std::int64_t t = 3; t < 50; ++t) {
    EXPECT_EQ(arc.next(42), cubic(t));  // third difference: 7 * 3!
  }
}

TEST(DifferenceArc, OrderZeroHoldsValues) {
  DifferenceArc arc;
  arc.begin(0, 5);
  EXPECT_EQ(arc.next(9), 9);
  EXPECT_EQ(arc.next(-4), -4);
}

TEST(DifferenceArc, OverflowWrapsAround) {
  DifferenceArc arc;
  constexpr auto kMax = std::numeric_limits<std::int64_t>::max();
  arc.begin(9, kMax);
  for (int i = 0; i < 100; ++i) {
    static_cast<void>(arc.next(kMax));
  }
}

// kind: cross   restored text against the text the test's own writer took
TEST(HatanakaText, RestoresEveryCharacter) {
  for (int order = 0; order <= 9; ++order) {
    const std::string text2 = test::small_file2();
    EXPECT_EQ(restore(compress(text2, order)), text2) << order;
    std::string text3 = test::small_file3();
    // The published form has a zero before the point.
    text3.replace(text3.rfind("  -.250"), 7, " -0.250");
    EXPECT_EQ(restore(compress(text3, order)), text3) << order;
  }
}

// kind: cross   direct decoding against the reader of text
TEST(HatanakaEpochs, EqualTheTextsEpochs) {
  for (const std::string& text : {test::small_file3(), test::small_file2()}) {
    const auto direct = read_text(compress(text, 3));
    const auto plain = read_text(text);
    EXPECT_EQ(direct.epochs.size(), 3U);
    EXPECT_EQ(test::first_difference(direct.epochs, plain.epochs), -1);
    EXPECT_TRUE(direct.problems.empty());
    EXPECT_TRUE(plain.problems.empty());
    EXPECT_TRUE(direct.header.was_compact);
    EXPECT_FALSE(plain.header.was_compact);
  }
}

TEST(HatanakaText, FlagsWithoutAValueStayInVersion3) {
  std::string text = test::small_file3();
  const auto at = text.find("  40.800");
  text.replace(at, 8, "        ");
  text.insert(at + 8, "15");
  EXPECT_NE(restore(compress(text, 3)).find("              15\n"),
            std::string::npos);
}

TEST(HatanakaEpochs, EventsInTheMiddleAreKept) {
  std::string packed = compress(test::small_file3(), 3);
  const auto at = packed.find('\n', packed.find("> 2024")) + 1;
  // After the first epoch (clock line and three satellites).
  std::size_t end = at;
  for (int i = 0; i < 4; ++i) {
    end = packed.find('\n', end) + 1;
  }
  packed.insert(end,
                ">                              4  1\n" +
                    test::header_line("cable changed", "COMMENT"));
  const auto direct = read_text(packed);
  EXPECT_EQ(direct.epochs.size(), 3U);
  ASSERT_EQ(direct.events.size(), 1U);
  EXPECT_EQ(direct.events[0].flag, 4);
  EXPECT_EQ(direct.header.comments.back(), "cable changed");
  EXPECT_TRUE(direct.problems.empty());
  std::string error;
  const auto text = read_text(restore(packed, &error));
  EXPECT_EQ(error, "");
  EXPECT_EQ(test::first_difference(direct.epochs, text.epochs), -1);
}

TEST(HatanakaEpochs, LostLineLosesItsEpochAndWhatFollows) {
  // A second start in the middle lets the reader go on.
  const std::string once = compress(test::small_file3(), 3);
  const std::string body = once.substr(once.find("> 2024"));
  std::string packed = once + body;
  const auto line = packed.find("\n3&") + 1;
  packed.erase(line, packed.find('\n', line) + 1 - line);
  const auto got = read_text(packed);
  EXPECT_FALSE(got.error.has_value());
  ASSERT_EQ(got.epochs.size(), 3U);
  ASSERT_EQ(got.problems.size(), 1U);
  EXPECT_NE(got.problems[0].what.find("starts afresh"), std::string::npos)
      << got.problems[0].what;
  EXPECT_EQ(test::first_difference(got.epochs, read_text(once).epochs), -1);
}

TEST(HatanakaEpochs, DamagedSatelliteIsLeftOutUntilItStartsAfresh) {
  std::string packed = compress(test::small_file2(), 3);
  // The first difference line of the second epoch.
  const auto second = packed.find("\n                15");
  ASSERT_NE(second, std::string::npos);
  auto line = packed.find('\n', packed.find('\n', second + 1) + 1) + 1;
  packed[line] = 'x';
  const auto got = read_text(packed);
  ASSERT_EQ(got.epochs.size(), 3U);
  EXPECT_EQ(got.epochs[0].satellites.size(), 13U);
  EXPECT_EQ(got.epochs[1].satellites.size(), 12U);
  EXPECT_EQ(got.epochs[2].satellites.size(), 12U);
  ASSERT_EQ(got.problems.size(), 1U);
  EXPECT_NE(got.problems[0].what.find("G01"), std::string::npos);
}

TEST(HatanakaEpochs, UnknownCompressionIsUnsupported) {
  std::string packed = compress(test::small_file3(), 3);
  packed[0] = '7';
  const auto got = read_text(packed);
  ASSERT_TRUE(got.error.has_value());
  EXPECT_EQ(got.error->code, ErrorCode::kUnsupported);
}

TEST(HatanakaText, PlainTextIsRefused) {
  std::string error;
  EXPECT_EQ(restore(test::small_file3(), &error), "");
  EXPECT_NE(error.find("not Hatanaka"), std::string::npos);
}

}  // namespace
}  // namespace stillpoint::rinex

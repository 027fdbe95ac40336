#include "stillpoint/rinex/hatanaka_writer.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/rinex/hatanaka_core.h"
#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

std::string difference(std::string reference, std::string_view after) {
  std::string text = "|";
  append_text_difference(text, reference, after);
  return text.substr(1);
}

TEST(TextDifference, SaysWhatChanges) {
  EXPECT_EQ(difference("abc", "abc"), "");
  EXPECT_EQ(difference("abcd", "axcd"), " x");
  EXPECT_EQ(difference("abcd", "ab"), "  &&");
  EXPECT_EQ(difference("ab", "abc"), "  c");
  EXPECT_EQ(difference("", "x"), "x");
}

TEST(TextDifference, BlanksBehindTheEndAreSaid) {
  EXPECT_EQ(difference("ab", "ab d"), "  &d");
  EXPECT_EQ(difference("", " 7 "), "&7&");
  EXPECT_EQ(difference("ab  ", "ab  d"), "    d");
}

// kind: cross   the reader's repair_text()   tolerance: none
TEST(TextDifference, RepairsToTheNewText) {
  const std::string_view texts[] = {
      "> 2024", "  17 ", "", "G01G02R03", "G01R03", "x y z"};
  for (const std::string_view before : texts) {
    for (const std::string_view after : texts) {
      std::string reference(before);
      std::string change;
      append_text_difference(change, reference, after);
      std::string text(before);
      repair_text(text, change);
      EXPECT_EQ(text, reference);
      trim_end(text, 0);
      std::string wanted(after);
      trim_end(wanted, 0);
      EXPECT_EQ(text, wanted);
    }
  }
}

// kind: cross   differences of a cubic, by their definition
TEST(DifferenceChain, ReachesTheThirdDifferenceAndStaysThere) {
  const auto cubic = [](std::int64_t t) {
    return 7 * t * t * t - 3 * t * t + 11 * t - 5;
  };
  DifferenceChain chain;
  EXPECT_TRUE(chain.fresh());
  EXPECT_EQ(chain.next(cubic(0)), cubic(0));
  EXPECT_FALSE(chain.fresh());
  EXPECT_EQ(chain.next(cubic(1)), cubic(1) - cubic(0));
  EXPECT_EQ(chain.next(cubic(2)), cubic(2) - 2 * cubic(1) + cubic(0));
  for (std::int64_t t = 3; t < 40; ++t) {
    EXPECT_EQ(chain.next(cubic(t)), 42);
  }
  chain.end();
  EXPECT_TRUE(chain.fresh());
  EXPECT_EQ(chain.next(9), 9);
  EXPECT_EQ(chain.next(10), 1);
}

// kind: cross   the reader's DifferenceArc   tolerance: none
TEST(DifferenceChain, AddsUpAgainAtTheLimitsOfTheColumns) {
  DifferenceChain chain;
  DifferenceArc arc;
  arc.begin(DifferenceChain::kOrder, chain.next(kMaxThousandths));
  for (int i = 1; i < 20; ++i) {
    const std::int64_t value = i % 2 == 0 ? kMaxThousandths : kMinThousandths;
    EXPECT_EQ(arc.next(chain.next(value)), value);
  }
}

// A record of one satellite with two columns.
EpochRecord record_of(std::string head,
                      std::int64_t clock,
                      std::vector<std::int64_t> numbers,
                      std::string flags) {
  EpochRecord record;
  record.head = std::move(head);
  record.clock = clock;
  record.satellites = {{{System::kGps, 5}, {'G', '0', '5'}, 0, numbers.size()}};
  record.numbers = std::move(numbers);
  record.flags = std::move(flags);
  return record;
}

TEST(HatanakaWriter, ArcsBeginWithTheirOrderAndEndAtAGap) {
  HatanakaWriter writer(3);
  std::string out;
  writer.append(record_of("> 2024 03 01 00 00  0.0000000  0  1",
                          kNoNumber,
                          {1000, 2000},
                          " 71 "),
                out);
  writer.append(
      record_of(
          "> 2024 03 01 00 00 30.0000000  0  1", 5, {1010, kNoNumber}, " 7  "),
      out);
  writer.append(
      record_of("> 2024 03 01 00 01  0.0000000  0  1", 7, {1030, 2020}, "    "),
      out);
  EXPECT_EQ(out,
            "> 2024 03 01 00 00  0.0000000  0  1      G05\n"
            "\n"
            "3&1000 3&2000 &71&\n"
            "                   3\n"
            "3&5\n"
            "10    &\n"
            "                 1 &\n"
            "2\n"
            "10 3&2020  &\n");
}

TEST(HatanakaWriter, SatelliteThatWasAwayBeginsAfresh) {
  HatanakaWriter writer(1);
  const auto head = [](const char* minute) {
    return " 24  3  1  0 " + std::string(minute) + "  0.0000000  0  1";
  };
  std::string out;
  writer.append(record_of(head(" 0"), kNoNumber, {1000}, " 7"), out);
  EpochRecord other = record_of(head(" 1"), kNoNumber, {3000}, "  ");
  other.satellites[0].sat.number = 6;
  other.satellites[0].name = {'G', '0', '6'};
  writer.append(other, out);
  writer.append(record_of(head(" 2"), kNoNumber, {1500}, " 7"), out);
  EXPECT_EQ(out,
            "&24  3  1  0  0  0.0000000  0  1G05\n\n3&1000  7\n"
            "              1                   6\n\n3&3000\n"
            "              2                   5\n\n3&1500  7\n");
}

TEST(HatanakaWriter, TooLargeADifferenceBeginsANewArc) {
  const auto head = [](const char* second) {
    return std::string("> 2024 03 01 00 00 ") + second + ".0000000  0  1";
  };
  HatanakaWriter writer(3);
  std::string out;
  constexpr std::int64_t kTenDigits = 9'999'999'999;
  writer.append(record_of(head(" 0"), kNoNumber, {-5}, "  "), out);
  writer.append(record_of(head(" 1"), kNoNumber, {kTenDigits - 5}, "  "), out);
  writer.append(record_of(head(" 2"), kNoNumber, {-5}, "  "), out);
  writer.append(record_of(head(" 3"), kNoNumber, {-4}, "  "), out);
  EXPECT_EQ(out,
            "> 2024 03 01 00 00  0.0000000  0  1      G05\n\n3&-5 &&\n"
            "                    1\n\n9999999999\n"
            "                    2\n\n3&-5\n"
            "                    3\n\n1\n");
}

TEST(HatanakaWriter, ClocksJumpWithoutANewArc) {
  HatanakaWriter writer(3);
  std::string out;
  for (const std::int64_t clock :
       {std::int64_t{-1}, std::int64_t{99'999'999'999'999}}) {
    writer.append(record_of(clock < 0 ? "> 2024 03 01 00 00  0.0000000  0  1"
                                      : "> 2024 03 01 00 00  1.0000000  0  1",
                            clock,
                            {1},
                            "  "),
                  out);
  }
  EXPECT_EQ(out.substr(out.find("3&")),
            "3&-1\n3&1 &&\n                    1\n100000000000000\n0\n");
}

// Found by restoring with a library that takes a blank behind the end of what
// it has for the end.
TEST(HatanakaWriter, EpochWithoutSatellitesLeavesAShortReference) {
  HatanakaWriter writer(3);
  std::string out;
  EpochRecord none =
      record_of("> 2024 03 01 00 00  0.0000000  0  0", kNoNumber, {}, "");
  none.satellites.clear();
  writer.append(none, out);
  writer.append(
      record_of("> 2024 03 01 00 00 30.0000000  0  1", kNoNumber, {1000}, "  "),
      out);
  EXPECT_EQ(out,
            "> 2024 03 01 00 00  0.0000000  0  0\n\n"
            "                   3              1&&&&&&G05\n\n3&1000 &&\n");
}

TEST(HatanakaWriter, FlagsOfAMissingValueVanishByThemselvesInVersion1) {
  const char* const heads[] = {" 24  3  1  0  0  0.0000000  0  1",
                               " 24  3  1  0  1  0.0000000  0  1",
                               " 24  3  1  0  2  0.0000000  0  1"};
  HatanakaWriter writer(1);
  std::string out;
  writer.append(record_of(heads[0], kNoNumber, {1000, 1}, "17 8"), out);
  writer.append(record_of(heads[1], kNoNumber, {kNoNumber, 1}, "   8"), out);
  writer.append(record_of(heads[2], kNoNumber, {1000, 1}, " 7  "), out);
  EXPECT_EQ(out.substr(out.find("3&")),
            "3&1000 3&1 17 8\n"
            "              1\n\n 0\n"
            "              2\n\n3&1000 0  7 &\n");
}

}  // namespace
}  // namespace stillpoint::rinex

#include "stillpoint/solve/code_pair.h"

#include <gtest/gtest.h>

#include <string_view>
#include <vector>

#include "stillpoint/solve/terms.h"

namespace stillpoint::solve {
namespace {

std::vector<Observation> rows(std::initializer_list<std::string_view> codes) {
  std::vector<Observation> out;
  for (const auto code : codes) {
    Observation o;
    o.signal = {code[0], code[1]};
    o.code_m = 2e7;
    out.push_back(o);
  }
  return out;
}

std::string chosen(System system,
                   std::initializer_list<std::string_view> codes,
                   std::optional<int> channel = {}) {
  const auto r = rows(codes);
  const auto pair = choose_pair(system, r, channel, false);
  if (!pair) {
    return "none";
  }
  const std::string second =
      pair->second == nullptr ? "-" : pair->second->signal.text();
  return pair->first->signal.text() + " " + second;
}

TEST(ChoosePair, TakesThePairOfTheBroadcastClockFirst) {
  EXPECT_EQ(chosen(System::kGps, {"1C", "1W", "2L", "2W", "5Q"}), "1W 2W");
  EXPECT_EQ(chosen(System::kGps, {"1C", "2L", "2W", "5Q"}), "1C 2W");
  EXPECT_EQ(chosen(System::kGps, {"1C", "5Q"}), "1C 5Q");
  EXPECT_EQ(chosen(System::kGalileo, {"1C", "5Q", "7Q"}), "1C 5Q");
  EXPECT_EQ(chosen(System::kGalileo, {"1X", "7X"}), "1X 7X");
  EXPECT_EQ(chosen(System::kBeidou, {"2I", "6I", "7I"}), "2I 6I");
  EXPECT_EQ(chosen(System::kQzss, {"1C", "2L", "5Q"}), "1C 2L");
  EXPECT_EQ(chosen(System::kGlonass, {"1C", "1P", "2C", "2P"}, 3), "1P 2P");
}

TEST(ChoosePair, FallsBackToOneFrequencyAndThenToNothing) {
  EXPECT_EQ(chosen(System::kGps, {"1C"}), "1C -");
  EXPECT_EQ(chosen(System::kGlonass, {"1C", "2C"}), "none");  // no channel
  EXPECT_EQ(chosen(System::kSbas, {"1C"}), "none");
  EXPECT_EQ(chosen(System::kGps, {"9Z"}), "none");
}

// kind: cross   by definition the combination keeps a range and cancels a
// delay that falls with the square of the frequency.
TEST(ChoosePair, CombinationKeepsTheRangeAndCancelsTheIonosphere) {
  const auto r = rows({"1C", "5Q"});
  const auto pair = choose_pair(System::kGalileo, r, {}, false);
  ASSERT_TRUE(pair);
  EXPECT_NEAR(pair->weight_first + pair->weight_second, 1, 1e-12);
  EXPECT_NEAR(pair->weight_first / (pair->first_hz * pair->first_hz) +
                  pair->weight_second / (pair->second_hz * pair->second_hz),
              0,
              1e-30);
}

TEST(Terms, NamesFindTheirTermAndNothingElse) {
  for (const TermName& row : term_names()) {
    EXPECT_EQ(find_term(row.name), row.term);
  }
  EXPECT_FALSE(find_term("gravity"));
  TermSet set{Term::kShapiro};
  EXPECT_TRUE(set.has(Term::kShapiro));
  EXPECT_FALSE(set.has(Term::kRelativity));
}

}  // namespace
}  // namespace stillpoint::solve

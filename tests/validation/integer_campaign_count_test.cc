#include "tests/validation/integer_campaign_count.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::test {
namespace {

// So many starts of the shortest tie, the first ones wrong.
std::vector<CampaignRun> runs_with(int starts, int wrong, bool fixed = true) {
  CampaignRun run;
  run.cell.name = "tie-1-quiet";
  run.cell.minutes = {1};
  run.failure_rate = 0.001;
  for (int i = 0; i < starts; ++i) {
    CampaignSolve solve;
    solve.minutes = 1;
    solve.fixed = fixed;
    solve.wrong = i < wrong;
    solve.sigma_m = {0.01, 0.01, 0.01};
    run.starts.push_back({static_cast<std::uint64_t>(i), {solve}});
  }
  return {run};
}

CampaignVerdict verdict(const std::vector<CampaignRun>& runs) {
  std::string why;
  return judge(runs, why);
}

// kind: cross   source: closed forms: none of n has a chance of (1 - p)^n, all
// of n of p^n; and the sums of a binomial law worked by hand for 1 of 2
// tolerance: 1e-9, sixty halvings
TEST(CampaignCount, BoundsAreThoseOfTheBinomialLaw) {
  EXPECT_NEAR(upper_share(0, 3000), 1 - std::pow(0.05, 1.0 / 3000), 1e-9);
  EXPECT_NEAR(lower_share(20, 20), std::pow(0.05, 1.0 / 20), 1e-9);
  // 1 - p^2 = 0.05 and 1 - (1 - p)^2 = 0.05.
  EXPECT_NEAR(upper_share(1, 2), std::sqrt(0.95), 1e-9);
  EXPECT_NEAR(lower_share(1, 2), 1 - std::sqrt(0.95), 1e-9);
  EXPECT_EQ(upper_share(5, 5), 1);
  EXPECT_EQ(lower_share(0, 5), 0);
}

TEST(CampaignCount, RightIsThreeCentimetresAndThreeSigmasInEachComponent) {
  const std::array<double, 3> sigma_m{0.001, 0.002, 0.01};
  EXPECT_TRUE(is_right({0.0329, -0.0359, 0.0599}, sigma_m));
  EXPECT_FALSE(is_right({0.0331, 0, 0}, sigma_m));
  EXPECT_FALSE(is_right({0, -0.0361, 0}, sigma_m));
  EXPECT_FALSE(is_right({0, 0, 0.0601}, sigma_m));
}

TEST(CampaignCount, TellsGoodFromTooManyAndFromTooFewStarts) {
  EXPECT_EQ(verdict(runs_with(3000, 0)), CampaignVerdict::kGood);
  EXPECT_EQ(verdict(runs_with(3000, 3)), CampaignVerdict::kGood);
  EXPECT_EQ(verdict(runs_with(3000, 6)), CampaignVerdict::kTooFew);
  EXPECT_EQ(verdict(runs_with(3000, 9)), CampaignVerdict::kTooMany);
  EXPECT_EQ(verdict(runs_with(100, 0)), CampaignVerdict::kTooFew);
  EXPECT_EQ(verdict(runs_with(44, 2)), CampaignVerdict::kTooMany);
  EXPECT_EQ(verdict(runs_with(44, 0, false)), CampaignVerdict::kNeverFixed);
}

TEST(CampaignCount, TablesNameEveryWrongStart) {
  const std::string text = campaign_tables(runs_with(10, 2));
  EXPECT_NE(text.find("wrong: tie-1-quiet, start 0, 1 min"), std::string::npos);
  EXPECT_NE(text.find("wrong: tie-1-quiet, start 1, 1 min"), std::string::npos);
  EXPECT_EQ(text.find("start 2,"), std::string::npos);
  EXPECT_NE(text.find("| starts, first fix | 2 | 10 | 20.000 |"),
            std::string::npos);
}

}  // namespace
}  // namespace stillpoint::test

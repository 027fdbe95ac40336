#include "stillpoint/math/robust.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::math {
namespace {

// kind: cross   by definition of the order statistics.
TEST(Median, IsTheMiddleValueOrTheMeanOfTheMiddleTwo) {
  EXPECT_EQ(median({3, 1, 2}), 2);
  EXPECT_EQ(median({4, 1, 3, 2}), 2.5);
  EXPECT_EQ(median({7}), 7);
  EXPECT_TRUE(std::isnan(median({})));
}

// kind: cross   the ends and a point between two order statistics.
TEST(Quantile, InterpolatesBetweenOrderStatistics) {
  EXPECT_EQ(quantile({10, 20, 30, 40, 50}, 0.0), 10);
  EXPECT_EQ(quantile({10, 20, 30, 40, 50}, 1.0), 50);
  EXPECT_DOUBLE_EQ(quantile({10, 20, 30, 40, 50}, 0.9), 46);
}

// kind: cross   one wild value in nine moves a standard deviation, not this.
TEST(RobustSigma, IsNotMovedByAWildValue) {
  const double calm = robust_sigma({-4, -3, -2, -1, 0, 1, 2, 3, 4});
  const double wild = robust_sigma({-4, -3, -2, -1, 0, 1, 2, 3, 4e9});
  EXPECT_DOUBLE_EQ(calm, 1.4826 * 2);
  EXPECT_DOUBLE_EQ(wild, 1.4826 * 2);
}

}  // namespace
}  // namespace stillpoint::math

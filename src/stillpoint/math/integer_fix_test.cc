#include "stillpoint/math/integer_fix.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "stillpoint/math/integer_thresholds.h"

namespace stillpoint::math {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

// Known values with noise: independent errors and a weak direction in common.
struct Sample {
  Eigen::VectorXd truth, values;
  Eigen::MatrixXd covariance;

  Sample(unsigned seed, Eigen::Index n, double own_cyc, double common_cyc)
      : truth(n), values(n) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    Eigen::VectorXd direction(n), own(n);
    for (Eigen::Index k = 0; k < n; ++k) {
      truth(k) = std::round(1e7 * normal(random));
      direction(k) = common_cyc * normal(random);
      own(k) = own_cyc * normal(random);
    }
    covariance = direction * direction.transpose();
    covariance.diagonal().array() += own_cyc * own_cyc;
    values = truth + normal(random) * direction + own;
  }
};

void expect_none(const IntegerFix& fix, Eigen::Index n) {
  EXPECT_EQ(fix.count(), 0);
  EXPECT_EQ(fix.combinations.rows(), n);
  EXPECT_EQ(fix.combinations.cols(), 0);
}

void expect_true(const IntegerFix& fix, const Eigen::VectorXd& truth) {
  EXPECT_EQ(fix.values, Eigen::VectorXd(fix.combinations.transpose() * truth));
  EXPECT_EQ(fix.combinations,
            Eigen::MatrixXd(fix.combinations.array().round()));
}

TEST(FixIntegers, GoodValuesAreAllFixed) {
  const Sample sample(1, 20, 0.04, 3);
  const IntegerFix fix = fix_integers(sample.values, sample.covariance);
  EXPECT_EQ(fix.count(), 20);
  expect_true(fix, sample.truth);
  EXPECT_GT(fix.success_rate, 0.99);
  EXPECT_GE(fix.ratio, fix.threshold);
  EXPECT_GT(fix.adop_cyc, 0.03);
}

TEST(FixIntegers, BadlyKnownOnesAreLeftOut) {
  Sample sample(2, 12, 0.05, 0.2);
  // Three more than a cycle uncertain, and off.
  for (const Eigen::Index k : {1, 5, 6}) {
    sample.covariance(k, k) += 4;
    sample.values(k) += 1.4;
  }
  const IntegerFix fix = fix_integers(sample.values, sample.covariance);
  EXPECT_EQ(fix.count(), 9);
  expect_true(fix, sample.truth);
  for (const Eigen::Index k : {1, 5, 6}) {
    EXPECT_TRUE(fix.combinations.row(k).isZero(0)) << k;
  }
}

TEST(FixIntegers, UncertainValuesStayReal) {
  const Sample sample(3, 20, 0.6, 3);
  const IntegerFix fix = fix_integers(sample.values, sample.covariance);
  expect_none(fix, 20);
  EXPECT_TRUE(std::isnan(fix.ratio));
  EXPECT_GT(fix.adop_cyc, 0.5);
}

TEST(FixIntegers, FewerThanAskedForAreNone) {
  const Sample sample(4, 5, 0.03, 0.1);
  EXPECT_EQ(
      fix_integers(sample.values, sample.covariance, {.fewest = 5}).count(), 5);
  expect_none(fix_integers(sample.values, sample.covariance, {.fewest = 6}), 5);
}

TEST(FixIntegers, ValueBetweenTwoIntegersIsNotGuessed) {
  // 0.1 cycle each, but the first is half way: the ratio is near one.
  Eigen::VectorXd values(4);
  values << 3.49, 10.02, -7.01, 5.0;
  const Eigen::MatrixXd q = 0.02 * Eigen::MatrixXd::Identity(4, 4);
  const IntegerFix fix = fix_integers(values, q, {.fewest = 4});
  expect_none(fix, 4);
  EXPECT_LT(fix.ratio, 1.2);
  EXPECT_GT(fix.threshold, fix.ratio);
}

TEST(FixIntegers, ExactValuesHaveAnInfiniteRatio) {
  const Eigen::VectorXd values = Eigen::VectorXd::LinSpaced(6, 1, 6);
  const IntegerFix fix =
      fix_integers(values, 0.001 * Eigen::MatrixXd::Identity(6, 6));
  EXPECT_EQ(fix.count(), 6);
  EXPECT_EQ(fix.ratio, std::numeric_limits<double>::infinity());
}

TEST(FixIntegers, ManyAreFixedToo) {
  for (const Eigen::Index n : {100, 150, 300}) {
    const Sample sample(5, n, 0.05, 2);
    const IntegerFix fix = fix_integers(sample.values, sample.covariance);
    EXPECT_GT(fix.count(), n * 9 / 10);
    expect_true(fix, sample.truth);
  }
}

TEST(FixIntegers, HostileInputIsAnAnswer) {
  const Sample sample(6, 6, 0.03, 0.3);
  expect_none(fix_integers({}, Eigen::MatrixXd(0, 0)), 0);
  expect_none(fix_integers(sample.values, Eigen::MatrixXd::Identity(5, 5)), 6);
  for (const double bad : {kNaN, std::numeric_limits<double>::infinity()}) {
    Eigen::VectorXd values = sample.values;
    values(3) = bad;
    expect_none(fix_integers(values, sample.covariance), 6);
    Eigen::MatrixXd q = sample.covariance;
    q(4, 1) = q(1, 4) = bad;
    expect_none(fix_integers(sample.values, q), 6);
  }
  Eigen::MatrixXd q = sample.covariance;
  q.row(2).setZero();
  q.col(2).setZero();
  expect_none(fix_integers(sample.values, q), 6);
  q = sample.covariance;
  q(2, 2) -= 1;
  expect_none(fix_integers(sample.values, q), 6);
  expect_none(fix_integers(sample.values, 1e12 * sample.covariance), 6);
  // Whole numbers that a double no longer holds.
  expect_none(fix_integers(1e17 * Eigen::VectorXd::Ones(6), sample.covariance),
              6);
  for (const double rate : {kNaN, -1.0, 0.0}) {
    expect_none(
        fix_integers(sample.values, sample.covariance, {.failure_rate = rate}),
        6);
  }
}

TEST(RatioThreshold, GrowsWithWhatMayGoWrong) {
  for (const int count : {1, 4, 5, 30, 40, 80, 200}) {
    for (const double rate : {0.001, 0.01}) {
      double before = 1;
      for (const double bound : {1e-5, 2e-4, 1e-3, 0.02, 0.1, 0.3}) {
        const double ratio = ratio_threshold(count, bound, rate);
        EXPECT_GE(ratio, before) << count << " " << bound;
        EXPECT_TRUE(std::isfinite(ratio));
        before = ratio;
      }
      EXPECT_GE(ratio_threshold(count, 0.1, 0.001),
                ratio_threshold(count, 0.1, 0.01));
    }
  }
}

TEST(RatioThreshold, OutsideItsTableNothingPasses) {
  EXPECT_EQ(ratio_threshold(10, 1e-4, 0.001), 1);
  EXPECT_TRUE(std::isinf(ratio_threshold(10, 0.31, 0.01)));
  EXPECT_TRUE(std::isinf(ratio_threshold(10, kNaN, 0.01)));
  EXPECT_TRUE(std::isinf(ratio_threshold(0, 0.1, 0.01)));
  EXPECT_TRUE(std::isinf(ratio_threshold(10, 0.1, 0.0009)));
  EXPECT_TRUE(std::isinf(ratio_threshold(10, 0.1, kNaN)));
}

}  // namespace
}  // namespace stillpoint::math

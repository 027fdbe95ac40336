#include "stillpoint/math/integer_lattice.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace stillpoint::math {
namespace {

// Independent values and a few weak directions in common.
Eigen::MatrixXd correlated(std::mt19937_64& random, int n, double weak) {
  std::normal_distribution<double> normal;
  Eigen::MatrixXd directions(n, 3);
  for (double& x : directions.reshaped()) {
    x = normal(random);
  }
  Eigen::MatrixXd q = weak * directions * directions.transpose();
  for (double& x : q.diagonal()) {
    x += 0.01 + 0.02 * std::abs(normal(random));
  }
  return q;
}

// kind: cross; source: Z^T Q Z = L^T D L is what the lattice is defined by.
// Tolerance: 1e-9 of the greatest variance, which is that of Q.
TEST(IntegerLattice, FactorsAndTransformBelongTogether) {
  std::mt19937_64 random(11);
  for (const int n : {1, 2, 3, 7, 20, 60, 120}) {
    const Eigen::MatrixXd q = correlated(random, n, 30);
    const auto lattice = decorrelate(q);
    ASSERT_TRUE(lattice) << n;
    const auto& [z, l, d] = *lattice;
    EXPECT_EQ(z, Eigen::MatrixXd(z.array().round()));
    // |det Z| = 1; the rounding of an elimination of small whole numbers.
    EXPECT_NEAR(std::abs(z.determinant()), 1, 1e-6) << n;
    const Eigen::MatrixXd left = z.transpose() * q * z;
    const Eigen::MatrixXd right = l.transpose() * d.asDiagonal() * l;
    EXPECT_LT((left - right).cwiseAbs().maxCoeff(), 1e-9 * q.norm()) << n;
    EXPECT_TRUE(l.isUpperTriangular() == (n == 1));
    EXPECT_TRUE(l.isLowerTriangular(0));
    EXPECT_TRUE(l.diagonal().isOnes(0));
    // The determinant is that of Q; 1e-9 of its logarithm a value.
    EXPECT_NEAR(std::log(adop_cyc(d)),
                std::log(adop_cyc(factorise(q)->variances_cyc2)),
                1e-9);
  }
}

TEST(IntegerLattice, NothingIsLeftThatAWholeStepOrAnExchangeImproves) {
  std::mt19937_64 random(12);
  const auto lattice = decorrelate(correlated(random, 40, 100));
  ASSERT_TRUE(lattice);
  const auto& [z, l, d] = *lattice;
  for (Eigen::Index c = 0; c < 40; ++c) {
    for (Eigen::Index r = c + 1; r < 40; ++r) {
      EXPECT_LE(std::abs(l(r, c)), 0.5 + 1e-9);
    }
  }
  for (Eigen::Index k = 0; k + 1 < 40; ++k) {
    EXPECT_GE(d(k) + l(k + 1, k) * l(k + 1, k) * d(k + 1), 0.998 * d(k + 1));
  }
}

TEST(IntegerLattice, DecorrelationMakesSuccessLikelier) {
  std::mt19937_64 random(13);
  for (int k = 0; k < 20; ++k) {
    const Eigen::MatrixXd q = correlated(random, 12, 50);
    EXPECT_LT(bootstrapped_failure(decorrelate(q)->variances_cyc2),
              bootstrapped_failure(factorise(q)->variances_cyc2));
  }
}

// kind: cross; source: Z' = U Z with U unimodular is as good a start, so the
// reduced lattice cannot depend on it but for ties; wanted here is the failure.
// Tolerance: half, as reduced bases of one lattice are not all the same.
TEST(IntegerLattice, StrongCorrelationOfWholeNumbersIsUndone) {
  std::mt19937_64 random(14);
  std::uniform_int_distribution<int> pick(0, 9);
  Eigen::MatrixXd u = Eigen::MatrixXd::Identity(10, 10);
  for (int k = 0; k < 60; ++k) {
    const int from = pick(random), to = pick(random);
    if (from != to) {
      u.row(to) += (pick(random) - 4) * u.row(from);
    }
  }
  const double worst = u.cwiseAbs().maxCoeff();
  ASSERT_GT(worst, 100);
  const Eigen::MatrixXd q = 0.02 * u * u.transpose();
  const auto lattice = decorrelate(q);
  ASSERT_TRUE(lattice);
  const double apart =
      bootstrapped_failure(Eigen::VectorXd::Constant(10, 0.02));
  EXPECT_NEAR(bootstrapped_failure(lattice->variances_cyc2), apart, apart / 2);
}

TEST(IntegerLattice, WhatIsNoCovarianceHasNone) {
  EXPECT_FALSE(decorrelate(Eigen::MatrixXd(0, 0)));
  EXPECT_FALSE(decorrelate(Eigen::MatrixXd::Ones(2, 3)));
  EXPECT_FALSE(decorrelate(Eigen::MatrixXd::Zero(3, 3)));
  EXPECT_FALSE(decorrelate(Eigen::MatrixXd::Ones(3, 3)));
  EXPECT_FALSE(decorrelate(-Eigen::MatrixXd::Identity(3, 3)));
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::infinity(),
                           0.0,
                           -1e-9}) {
    Eigen::MatrixXd q = Eigen::MatrixXd::Identity(4, 4);
    q(2, 2) = bad;
    EXPECT_FALSE(decorrelate(q)) << bad;
    EXPECT_FALSE(factorise(q)) << bad;
  }
  // Indefinite by less than what the numbers carry.
  Eigen::MatrixXd q(2, 2);
  q << 1, 1, 1, 1 + 1e-16;
  EXPECT_FALSE(decorrelate(q));
}

TEST(IntegerLattice, ScaleDoesNotMatter) {
  std::mt19937_64 random(15);
  const Eigen::MatrixXd q = correlated(random, 8, 20);
  const auto lattice = decorrelate(q);
  for (const double scale : {0x1p-60, 0x1p-40, 0x1p40}) {
    const auto scaled = decorrelate(scale * q);
    ASSERT_TRUE(scaled);
    EXPECT_EQ(scaled->transform, lattice->transform);
    EXPECT_EQ(scaled->variances_cyc2,
              Eigen::VectorXd(scale * lattice->variances_cyc2));
  }
}

// kind: published; source: tables of the normal distribution (from memory):
// 2 Phi(1) - 1 = 0.682689492, 2 Phi(2) - 1 = 0.954499736.
// Tolerance: half of the last printed digit.
TEST(BootstrappedFailure, IsThatOfRoundingOneValue) {
  EXPECT_NEAR(1 - bootstrapped_failure(Eigen::VectorXd::Constant(1, 0.25)),
              0.682689492,
              5e-10);
  EXPECT_NEAR(1 - bootstrapped_failure(Eigen::VectorXd::Constant(1, 0.0625)),
              0.954499736,
              5e-10);
  // Not lost beside one: 2 (1 - Phi(10)) = 1.524e-23 (from memory).
  EXPECT_NEAR(bootstrapped_failure(Eigen::VectorXd::Constant(1, 0.0025)),
              1.524e-23,
              5e-27);
}

}  // namespace
}  // namespace stillpoint::math

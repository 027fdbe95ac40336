#include "stillpoint/math/integer_search.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <vector>

#include "stillpoint/math/integer_lattice.h"

namespace stillpoint::math {
namespace {

Eigen::VectorXd drawn(std::mt19937_64& random, Eigen::Index n, double sigma) {
  std::normal_distribution<double> normal(0, sigma);
  Eigen::VectorXd values(n);
  for (double& x : values) {
    x = normal(random);
  }
  return values;
}

// A lattice as decorrelation leaves it: |L| at most one half, the best
// determined last.
IntegerLattice reduced(std::mt19937_64& random,
                       Eigen::Index n,
                       double least,
                       double greatest) {
  std::uniform_real_distribution<double> part(-0.5, 0.5), place(0, 1);
  IntegerLattice lattice{.transform = Eigen::MatrixXd::Identity(n, n),
                         .factor = Eigen::MatrixXd::Identity(n, n),
                         .variances_cyc2 = Eigen::VectorXd(n)};
  for (Eigen::Index c = 0; c < n; ++c) {
    lattice.variances_cyc2(c) =
        least * std::pow(greatest / least, place(random));
    for (Eigen::Index r = c + 1; r < n; ++r) {
      lattice.factor(r, c) = part(random);
    }
  }
  std::sort(lattice.variances_cyc2.begin(),
            lattice.variances_cyc2.end(),
            std::greater<>());
  return lattice;
}

// All whole vectors within `reach` of the rounded one, norms by the inverse.
std::vector<double> enumerated(const Eigen::VectorXd& value,
                               const Eigen::MatrixXd& q,
                               int reach) {
  const Eigen::MatrixXd inverse = q.inverse();
  const Eigen::VectorXd middle = value.array().round();
  Eigen::VectorXd step = Eigen::VectorXd::Constant(value.size(), -reach);
  std::vector<double> norms;
  for (;;) {
    const Eigen::VectorXd off = middle + step - value;
    norms.push_back(off.dot(inverse * off));
    Eigen::Index k = 0;
    while (k < step.size() && ++step(k) > reach) {
      step(k++) = -reach;
    }
    if (k == step.size()) {
      break;
    }
  }
  std::sort(norms.begin(), norms.end());
  return norms;
}

// kind: cross; source: complete enumeration, which knows no factors.
// Tolerance: 1e-9, rounding of an inverse of condition below 1e4.
TEST(IntegerSearch, FindsWhatCompleteEnumerationFinds) {
  std::mt19937_64 random(21);
  for (int k = 0; k < 120; ++k) {
    const Eigen::Index n = 1 + k % 4;
    const IntegerLattice lattice = reduced(random, n, 0.05, 2);
    const Eigen::VectorXd value = drawn(random, n, 50);
    const auto found =
        search_integers(value, lattice.factor, lattice.variances_cyc2, 5);
    ASSERT_TRUE(found.found);
    const Eigen::MatrixXd q = lattice.factor.transpose() *
                              lattice.variances_cyc2.asDiagonal() *
                              lattice.factor;
    const auto expected = enumerated(value, q, 6);
    const Eigen::MatrixXd inverse = q.inverse();
    for (Eigen::Index c = 0; c < 5; ++c) {
      const double norm = expected[static_cast<std::size_t>(c)];
      EXPECT_NEAR(found.squared_norms(c), norm, 1e-9 * norm);
      const Eigen::VectorXd off = found.vectors.col(c) - value;
      EXPECT_NEAR(off.dot(inverse * off), norm, 1e-9 * norm);
      EXPECT_TRUE(c == 0 || found.vectors.col(c) != found.vectors.col(c - 1));
    }
  }
}

TEST(IntegerSearch, ManyWellKnownValuesCostFewTrials) {
  std::mt19937_64 random(22);
  for (const Eigen::Index n : {60, 120, 200}) {
    const IntegerLattice lattice = reduced(random, n, 1e-9, 5e-3);
    const Eigen::VectorXd truth = drawn(random, n, 1e6).array().round();
    const Eigen::VectorXd scaled =
        lattice.variances_cyc2.cwiseSqrt().cwiseProduct(drawn(random, n, 1));
    const auto found =
        search_integers(truth + lattice.factor.transpose() * scaled,
                        lattice.factor,
                        lattice.variances_cyc2,
                        2);
    ASSERT_TRUE(found.found) << n;
    EXPECT_EQ(Eigen::VectorXd(found.vectors.col(0)), truth) << n;
    EXPECT_LT(found.squared_norms(0), found.squared_norms(1));
    EXPECT_LT(found.nodes, 100 * n);
  }
}

TEST(IntegerSearch, HopelessSearchGivesUpAtItsBound) {
  std::mt19937_64 random(23);
  const IntegerLattice lattice = reduced(random, 100, 1, 100);
  const Eigen::VectorXd value = drawn(random, 100, 50);
  const auto found =
      search_integers(value, lattice.factor, lattice.variances_cyc2, 2, 50'000);
  EXPECT_FALSE(found.found);
  EXPECT_EQ(found.nodes, 50'000);
  EXPECT_EQ(found.vectors.size(), 0);
}

TEST(IntegerSearch, HalfWayBetweenBothSidesAreFound) {
  const Eigen::VectorXd value = Eigen::VectorXd::Constant(1, 2.5);
  const auto found = search_integers(value,
                                     Eigen::MatrixXd::Identity(1, 1),
                                     Eigen::VectorXd::Constant(1, 0.25),
                                     4);
  ASSERT_TRUE(found.found);
  EXPECT_EQ(found.squared_norms(0), 1);
  EXPECT_EQ(found.squared_norms(1), 1);
  EXPECT_EQ(found.squared_norms(2), 9);
  EXPECT_EQ(found.squared_norms(3), 9);
  EXPECT_EQ(found.vectors.sum(), 10);  // 2 + 3 + 1 + 4
}

TEST(IntegerSearch, HostileInputIsNotFound) {
  const Eigen::MatrixXd one = Eigen::MatrixXd::Identity(2, 2);
  const Eigen::VectorXd ones = Eigen::VectorXd::Ones(2);
  const auto is_found = [](const Eigen::VectorXd& value,
                           const Eigen::MatrixXd& factor,
                           const Eigen::VectorXd& variances,
                           int count) {
    return search_integers(value, factor, variances, count).found;
  };
  EXPECT_TRUE(is_found(ones, one, ones, 2));
  EXPECT_FALSE(is_found(ones, one, ones, 0));
  EXPECT_FALSE(is_found(ones.head(1), one, ones, 2));
  EXPECT_FALSE(is_found({}, Eigen::MatrixXd(0, 0), {}, 2));
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::infinity()}) {
    EXPECT_FALSE(is_found(bad * ones, one, ones, 2));
    EXPECT_FALSE(is_found(ones, bad * one, ones, 2));
    EXPECT_FALSE(is_found(ones, one, bad * ones, 2));
  }
  EXPECT_FALSE(is_found(ones, one, 0 * ones, 2));
  EXPECT_FALSE(is_found(1e17 * ones, one, ones, 2));
  EXPECT_TRUE(is_found(1e12 * ones, one, 1e12 * ones, 2));
  // Norms beyond what a double holds.
  EXPECT_FALSE(is_found(0.3 * ones, one, 1e-320 * ones, 2));
}

}  // namespace
}  // namespace stillpoint::math

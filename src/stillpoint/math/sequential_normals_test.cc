#include "stillpoint/math/sequential_normals.h"

#include <gtest/gtest.h>

#include <random>

namespace stillpoint::math {
namespace {

// A random walk observed with noise together with three constants, once in
// sequence and once as one dense system.
struct WalkProblem {
  static constexpr int kSteps = 40, kConstants = 3;
  std::vector<std::vector<double>> rows;  // dense, constants then the walk
  std::vector<double> values, weights;

  static std::size_t column_of(int step) {
    const int column = kConstants + step;
    return static_cast<std::size_t>(column);
  }

  WalkProblem() {
    std::mt19937 random(7);
    std::normal_distribution<double> normal;
    for (int t = 0; t < kSteps; ++t) {
      for (int k = 0; k < 3; ++k) {
        std::vector<double> row(kConstants + kSteps, 0.0);
        for (int c = 0; c < kConstants; ++c) {
          row[static_cast<std::size_t>(c)] = normal(random);
        }
        row[column_of(t)] = 1 + normal(random) / 4;
        rows.push_back(row);
        values.push_back(normal(random));
        weights.push_back(1 + t % 5);
      }
    }
  }
};

constexpr double kStepVariance = 0.3;

Eigen::MatrixXd dense_normals(const WalkProblem& p, Eigen::VectorXd& b) {
  const int n = WalkProblem::kConstants + WalkProblem::kSteps;
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(n, n);
  b = Eigen::VectorXd::Zero(n);
  for (std::size_t r = 0; r < p.rows.size(); ++r) {
    const Eigen::VectorXd row =
        Eigen::Map<const Eigen::VectorXd>(p.rows[r].data(), n);
    a += p.weights[r] * row * row.transpose();
    b += p.weights[r] * p.values[r] * row;
  }
  for (int t = 1; t < WalkProblem::kSteps; ++t) {
    const int i = WalkProblem::kConstants + t - 1;
    const double w = 1 / kStepVariance;
    a(i, i) += w;
    a(i + 1, i + 1) += w;
    a(i, i + 1) -= w;
    a(i + 1, i) -= w;
  }
  return a;
}

struct Sequence {
  SequentialNormals normals;
  std::vector<UnknownId> constants, walk;

  explicit Sequence(const WalkProblem& p) {
    for (int c = 0; c < WalkProblem::kConstants; ++c) {
      constants.push_back(normals.add_unknown());
    }
    std::size_t r = 0;
    for (int t = 0; t < WalkProblem::kSteps; ++t) {
      walk.push_back(normals.add_unknown());
      if (t > 0) {
        const UnknownId before = walk[walk.size() - 2];
        normals.add_step(before, walk.back(), kStepVariance);
        normals.eliminate(before);
      }
      for (int k = 0; k < 3; ++k, ++r) {
        std::vector<RowEntry> row;
        for (std::size_t c = 0; c < constants.size(); ++c) {
          row.push_back({constants[c], p.rows[r][c]});
        }
        row.push_back({walk.back(), p.rows[r][WalkProblem::column_of(t)]});
        normals.add_row(row, p.values[r], p.weights[r]);
      }
    }
  }
};

// kind: cross; source: the same problem as one dense system, solved by Eigen.
// Tolerance: rounding of a well-conditioned system of 43 unknowns.
TEST(SequentialNormals, GivesWhatTheDenseSystemGives) {
  const WalkProblem p;
  Eigen::VectorXd b;
  const Eigen::MatrixXd a = dense_normals(p, b);
  const Eigen::VectorXd expected = a.ldlt().solve(b);
  const Eigen::MatrixXd inverse = a.inverse();

  const Sequence s(p);
  const std::vector<double> values = s.normals.all_values();
  ASSERT_EQ(values.size(), static_cast<std::size_t>(expected.size()));
  for (std::size_t c = 0; c < s.constants.size(); ++c) {
    EXPECT_NEAR(
        values[s.constants[c]], expected(static_cast<Eigen::Index>(c)), 1e-11);
  }
  for (std::size_t t = 0; t < s.walk.size(); ++t) {
    EXPECT_NEAR(
        values[s.walk[t]],
        expected(WalkProblem::kConstants + static_cast<Eigen::Index>(t)),
        1e-11);
  }

  Eigen::VectorXd some;
  Eigen::MatrixXd covariance;
  ASSERT_TRUE(s.normals.solve(s.constants, some, covariance));
  EXPECT_LT((covariance - inverse.topLeftCorner(3, 3)).cwiseAbs().maxCoeff(),
            1e-12);
  EXPECT_LT((some - expected.head(3)).cwiseAbs().maxCoeff(), 1e-11);

  const std::vector<double> column = s.normals.inverse_column(s.constants[1]);
  for (std::size_t t = 0; t < s.walk.size(); ++t) {
    EXPECT_NEAR(
        column[s.walk[t]],
        inverse(1, WalkProblem::kConstants + static_cast<Eigen::Index>(t)),
        1e-12);
  }
}

// kind: cross; source: one observation is its own solution.
// Tolerance: 4 units of the last place, as the pivot 2 is solved by its root.
TEST(SequentialNormals, UnknownThatNobodyObservedBecomesZero) {
  SequentialNormals normals;
  const UnknownId a = normals.add_unknown();
  const UnknownId idle = normals.add_unknown();
  normals.add_prior(a, 3, 2);
  normals.eliminate(idle);
  const auto values = normals.all_values();
  ASSERT_EQ(values.size(), 2u);
  EXPECT_DOUBLE_EQ(values[a], 3);
  EXPECT_EQ(values[idle], 0);
}

// kind: cross; source: the values before the row that was only tried.
TEST(SequentialNormals, RestoredAfterARowThatWasOnlyTried) {
  const WalkProblem problem;
  Sequence s(problem);
  Eigen::VectorXd before, after;
  Eigen::MatrixXd covariance;
  ASSERT_TRUE(s.normals.solve(s.constants, before, covariance));
  const auto active = s.normals.active();
  s.normals.add_prior(s.constants[0], 100, 1e6);
  ASSERT_TRUE(s.normals.solve(s.constants, after, covariance));
  EXPECT_NEAR(after(0), 100, 0.1);
  s.normals.restore(active);
  ASSERT_TRUE(s.normals.solve(s.constants, after, covariance));
  EXPECT_EQ(after, before);
}

TEST(SequentialNormals, SingularSystemIsSaid) {
  SequentialNormals normals;
  const UnknownId a = normals.add_unknown();
  const UnknownId b = normals.add_unknown();
  const RowEntry row[] = {{a, 1}, {b, 1}};
  normals.add_row(row, 1, 1);
  EXPECT_TRUE(normals.all_values().empty());
}

}  // namespace
}  // namespace stillpoint::math

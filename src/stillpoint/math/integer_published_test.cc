// kind: published   source: block by block in tests/vectors/lambda.vec, with
// the tolerance of each.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/math/integer_lattice.h"
#include "stillpoint/math/integer_search.h"
#include "tests/support/vectors.h"

namespace stillpoint::math {
namespace {

struct Problem {
  Eigen::MatrixXd covariance;
  Eigen::VectorXd values;

  explicit Problem(const test::Block& block) {
    const auto q = block.in_list("q");
    const auto a = block.in_list("a");
    const auto n = static_cast<Eigen::Index>(a.size());
    EXPECT_EQ(static_cast<Eigen::Index>(q.size()), n * n) << block.name;
    covariance = Eigen::Map<const Eigen::MatrixXd>(q.data(), n, n);
    values = Eigen::Map<const Eigen::VectorXd>(a.data(), n);
  }
};

std::vector<std::string> vector_names(const test::Block& block) {
  std::vector<std::string> names;
  for (const char* name : {"c1", "c2", "c3", "c4"}) {
    if (block.expect.contains(name)) {
      names.emplace_back(name);
    }
  }
  return names;
}

// With and without decorrelation: the vectors are the same.
TEST(IntegerSearch, FindsThePrintedVectorsAndNorms) {
  for (const test::Block& block : test::read_vectors("lambda.vec")) {
    const Problem problem(block);
    const auto names = vector_names(block);
    const auto norms = block.out_list("norms");
    ASSERT_EQ(names.size(), norms.size()) << block.name;
    for (const auto& lattice :
         {decorrelate(problem.covariance), factorise(problem.covariance)}) {
      ASSERT_TRUE(lattice) << block.name;
      const Eigen::VectorXd whole = problem.values.array().round();
      const Eigen::VectorXd rest =
          lattice->transform.transpose() * (problem.values - whole);
      const auto found = search_integers(rest,
                                         lattice->factor,
                                         lattice->variances_cyc2,
                                         static_cast<int>(names.size()),
                                         100'000'000);
      ASSERT_TRUE(found.found) << block.name;
      for (std::size_t k = 0; k < names.size(); ++k) {
        const auto column = static_cast<Eigen::Index>(k);
        const auto printed = block.out_list(names[k]);
        const Eigen::VectorXd expected = Eigen::Map<const Eigen::VectorXd>(
            printed.data(), problem.values.size());
        EXPECT_EQ(Eigen::VectorXd(lattice->transform.transpose() *
                                  (expected - whole)),
                  Eigen::VectorXd(found.vectors.col(column)))
            << block.name << " " << names[k];
        EXPECT_NEAR(
            found.squared_norms(column), norms[k], block.tolerance * norms[k])
            << block.name << " " << names[k];
      }
      if (block.expect.contains("ratio")) {
        EXPECT_NEAR(found.squared_norms(1) / found.squared_norms(0),
                    block.out("ratio"),
                    5.1e-9 + 2 * block.tolerance * block.out("ratio"))
            << block.name;
      }
    }
  }
}

TEST(IntegerLattice, HasThePrintedVariancesAndRates) {
  int blocks = 0;
  for (const test::Block& block : test::read_vectors("lambda.vec")) {
    if (!block.expect.contains("d")) {
      continue;
    }
    ++blocks;
    const Problem problem(block);
    const auto given = factorise(problem.covariance);
    const auto reduced = decorrelate(problem.covariance);
    ASSERT_TRUE(given && reduced) << block.name;
    const auto d = block.out_list("d");
    for (std::size_t k = 0; k < d.size(); ++k) {
      // Half of the last of nine printed decimals.
      EXPECT_NEAR(
          given->variances_cyc2(static_cast<Eigen::Index>(k)), d[k], 5.1e-10)
          << block.name;
    }
    EXPECT_NEAR(1 - bootstrapped_failure(given->variances_cyc2),
                block.out("success"),
                block.tolerance)
        << block.name;
    EXPECT_NEAR(1 - bootstrapped_failure(reduced->variances_cyc2),
                block.out("success_reduced"),
                block.tolerance)
        << block.name;
    EXPECT_NEAR(
        adop_cyc(given->variances_cyc2), block.out("adop"), block.tolerance)
        << block.name;
    // Whatever the combinations, the determinant stays.
    EXPECT_NEAR(
        adop_cyc(reduced->variances_cyc2), block.out("adop"), block.tolerance)
        << block.name;
  }
  EXPECT_EQ(blocks, 6);
}

}  // namespace
}  // namespace stillpoint::math

// kind: cross   source and tolerance: block by block in
// tests/vectors/network.vec, made by tests/vectors/network_vectors.py
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/solve/network.h"
#include "tests/support/vectors.h"

namespace stillpoint::solve {
namespace {

Ecef ecef_of(const std::vector<double>& v) {
  return {v.at(0), v.at(1), v.at(2)};
}

Cov3 cov_of(const std::vector<double>& v) {
  Cov3 out{};
  std::copy_n(v.begin(), 9, out.begin());
  return out;
}

std::vector<NetworkTie> ties_of(const test::Block& b) {
  std::vector<NetworkTie> ties;
  for (int i = 0; i < static_cast<int>(b.in("ties")); ++i) {
    ties.push_back({fmt::format("SITE{}", i),
                    ecef_of(b.in_list(fmt::format("known{}", i))),
                    cov_of(b.in_list(fmt::format("known_m2_{}", i))),
                    ecef_of(b.in_list(fmt::format("vector{}", i))),
                    cov_of(b.in_list(fmt::format("vector_m2_{}", i)))});
  }
  return ties;
}

double smallest_sigma_m(const std::vector<NetworkTie>& ties) {
  double m2 = 1;
  for (const NetworkTie& tie : ties) {
    for (const std::size_t i : {0U, 4U, 8U}) {
      m2 = std::min(
          {m2, std::max(1e-8, tie.known_m2.at(i)), tie.vector_m2.at(i)});
    }
  }
  return std::sqrt(m2);
}

void check_ties(const test::Block& b, const Network& got, double test_error) {
  for (std::size_t i = 0; i < got.ties.size(); ++i) {
    const auto residual = b.out_list(fmt::format("residual{}", i));
    for (std::size_t k = 0; k < 3; ++k) {
      EXPECT_NEAR(
          got.ties[i].residual_enu_m.at(k), residual.at(k), b.tolerance);
    }
    EXPECT_NEAR(got.ties[i].test, b.out(fmt::format("test{}", i)), test_error);
  }
}

TEST(NetworkVectors, AgreeWithTheUnreducedAdjustment) {
  const auto blocks = test::read_vectors("network.vec");
  EXPECT_EQ(blocks.size(), 7U);
  for (const test::Block& b : blocks) {
    SCOPED_TRACE(b.name);
    const auto ties = ties_of(b);
    const Network got = adjust_network(ties);
    const auto position = b.out_list("position_m");
    EXPECT_NEAR(got.position_m.x_m, position.at(0), b.tolerance);
    EXPECT_NEAR(got.position_m.y_m, position.at(1), b.tolerance);
    EXPECT_NEAR(got.position_m.z_m, position.at(2), b.tolerance);
    EXPECT_EQ(got.dof, static_cast<int>(b.out("dof")));
    EXPECT_NEAR(got.limit, b.out("limit"), 1e-6);
    EXPECT_EQ(got.passed, b.out("chi2") <= b.out("limit"));
    // A misplaced tie by the tolerance turns normalised values by this much,
    // and a sum of their squares by twice its root times it.
    const double error = b.tolerance / smallest_sigma_m(ties);
    const double chi2 = b.out("chi2");
    EXPECT_NEAR(got.chi2, chi2, error * (1 + 2 * std::sqrt(chi2)));
    const auto covariance = b.out_list("covariance_m2");
    for (std::size_t i = 0; i < 9; ++i) {
      const double size =
          std::sqrt(covariance.at(i / 3 * 4) * covariance.at(i % 3 * 4));
      EXPECT_NEAR(got.covariance_m2.at(i),
                  covariance.at(i),
                  std::max(1e-8, got.passed ? 0 : 4 * error) * size);
    }
    check_ties(b, got, error);
  }
}

}  // namespace
}  // namespace stillpoint::solve

#include "stillpoint/solve/network.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

#include "stillpoint/solve/network_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using namespace test_scene;

// kind: cross, one tie is known + vector with the sum of the covariances
// tolerance: rounding of coordinates of 5e6 m and of their sum
TEST(AdjustNetwork, OneTieIsKnownPlusVector) {
  const NetworkTie t = tie_to("ALDR", places()[0], {0.4, 0, 0});
  const Network n = adjust_network({t});
  EXPECT_NEAR(norm(n.position_m - (t.known_m + t.vector_m)), 0, 1e-9);
  for (std::size_t i = 0; i < 9; ++i) {
    EXPECT_NEAR(
        n.covariance_m2.at(i), t.known_m2.at(i) + t.vector_m2.at(i), 1e-15);
  }
  EXPECT_EQ(n.dof, 0);
  EXPECT_TRUE(n.passed);
  EXPECT_EQ(n.limit, 0);
  EXPECT_EQ(n.ties.at(0).test, 0);
  EXPECT_FALSE(n.suspect.has_value());
  EXPECT_TRUE(says(n.why, "ALDR"));
}

// kind: cross, two equal ties: the mean, with half of the known coordinates'
// variance and three quarters of the vectors' (half of it is common)
// tolerance: rounding
TEST(AdjustNetwork, TwoEqualTiesAverageWhatIsNotCommon) {
  std::vector<NetworkTie> ties(2);
  for (NetworkTie& t : ties) {
    t.known_m2 = {4e-6, 0, 0, 0, 4e-6, 0, 0, 0, 4e-6};
    t.vector_m2 = {8e-6, 0, 0, 0, 8e-6, 0, 0, 0, 8e-6};
    t.vector_m = {100, 0, 0};
    t.known_m = here();
  }
  ties[1].known_m = here() + Ecef{0, 0, 0.002};
  const Network n = adjust_network(ties);
  EXPECT_NEAR(n.position_m.z_m, here().z_m + 0.001, 2e-9);
  EXPECT_NEAR(n.covariance_m2[0], 2e-6 + 6e-6, 1e-16);
  EXPECT_NEAR(n.covariance_m2[1], 0, 1e-18);
  // The difference has the variance 2 * 4e-6 + 8e-6.
  EXPECT_NEAR(n.chi2, 0.002 * 0.002 / 16e-6, 1e-5);
}

TEST(AdjustNetwork, ResidualsAreSeenAtThePlaceOfTheKnownStation) {
  auto ties = sound(3);
  displace(ties[1], {0.009, 0, 0});
  const Network n = adjust_network(ties);
  EXPECT_TRUE(n.passed) << n.why;
  EXPECT_TRUE(says(n.why, "agree")) << n.why;
  // kind: cross; tolerance: 0.3 mm, the places' horizons differ by up to 1.3
  // degrees of the 9 mm
  EXPECT_NEAR(n.ties[1].residual_enu_m[0], 0.006, 3e-4);
  EXPECT_NEAR(n.ties[1].residual_enu_m[1], 0, 3e-4);
  EXPECT_NEAR(n.ties[0].residual_enu_m[0], -0.003, 3e-4);
  EXPECT_GT(n.ties[1].test, n.ties[0].test);
  EXPECT_GT(n.ties[1].test, n.ties[2].test);
}

// kind: cross, drawn noise: half of each vector's comes from the antenna here
// tolerance: four sigma of what 20,000 draws allow: the mean of chi-square of
// six is 6 (sigma 0.0245), 0.1 % of networks are refused (sigma 0.022 %), the
// position's squared error over its covariance is 3 in the mean (sigma 0.0173)
TEST(AdjustNetwork, DrawnNoiseIsRefusedOnceInAThousandAndCoveredByTheSigma) {
  constexpr int kDraws = 20'000;
  std::mt19937 random(20261130);
  const auto clean = sound(3);
  double chi2 = 0;
  double error2 = 0;
  int refused = 0;
  for (int k = 0; k < kDraws; ++k) {
    const Network n = adjust_network(drawn(clean, random));
    chi2 += n.chi2;
    refused += n.passed ? 0 : 1;
    const Ecef off = n.position_m - here();
    const Eigen::Vector3d e(off.x_m, off.y_m, off.z_m);
    const double enlarged = n.passed ? 1 : n.chi2 / n.dof;
    const Eigen::Map<const Eigen::Matrix3d> m2(n.covariance_m2.data());
    error2 += e.dot(m2.llt().solve(e)) * enlarged;
  }
  EXPECT_NEAR(chi2 / kDraws, 6, 0.098);
  EXPECT_NEAR(error2 / kDraws, 3, 0.07);
  EXPECT_GE(refused, 3);
  EXPECT_LE(refused, 38);
}

TEST(AdjustNetwork, AZeroCovarianceIsATenthOfAMillimetre) {
  auto ties = sound(2);
  ties[0].known_m2 = {};
  const Network zeros = adjust_network(ties);
  ties[0].known_m2 = {1e-8, 0, 0, 0, 1e-8, 0, 0, 0, 1e-8};
  const Network stated = adjust_network(ties);
  // kind: cross; tolerance: rounding
  EXPECT_NEAR(norm(zeros.position_m - stated.position_m), 0, 1e-9);
  EXPECT_NEAR(zeros.covariance_m2[0], stated.covariance_m2[0], 1e-15);
  // One direction without an uncertainty counts too.
  ties[0].known_m2 = {0, 0, 0, 0, 4e-6, 0, 0, 0, 4e-6};
  EXPECT_GT(adjust_network(ties).covariance_m2[0], 0);
}

TEST(AdjustNetwork, AConflictEnlargesTheCovariance) {
  auto ties = sound(2);
  const double calm = adjust_network(ties).covariance_m2[0];
  displace(ties[0], {0, 0.05, 0});
  const Network n = adjust_network(ties);
  EXPECT_FALSE(n.passed);
  // kind: cross, the documented factor   tolerance: rounding of the factor
  EXPECT_NEAR(n.covariance_m2[0] / calm, n.chi2 / n.dof, 1e-4);
  EXPECT_GT(n.chi2 / n.dof, 5);
}

TEST(AdjustNetwork, RepeatsBitForBit) {
  auto ties = sound(4);
  displace(ties[2], {0.01, 0.02, 0.03});
  const Network a = adjust_network(ties);
  const Network b = adjust_network(ties);
  EXPECT_EQ(a.position_m.x_m, b.position_m.x_m);
  EXPECT_EQ(a.chi2, b.chi2);
  EXPECT_EQ(a.why, b.why);
}

}  // namespace
}  // namespace stillpoint::solve

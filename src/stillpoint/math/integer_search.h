// The whole-number vectors that are closest to a real-valued one in the metric
// of its covariance.
#pragma once

#include <Eigen/Dense>
#include <cstdint>

namespace stillpoint::math {

struct IntegerCandidates {
  Eigen::MatrixXd vectors;        // n x count, whole numbers, closest first
  Eigen::VectorXd squared_norms;  // (z - value)^T Q^-1 (z - value)
  std::int64_t nodes = 0;         // visited
  // False: given up at the bound of nodes, or nothing to search with. The
  // vectors are then empty.
  bool found = false;
};

// Beyond any set that is worth fixing (docs/integers.md), and within a second.
inline constexpr std::int64_t kMostNodes = 1'000'000;

// Depth first from the last value to the first, at each the closest whole
// number first and then outwards on both sides; what has been found shrinks
// the ellipsoid that is still searched.
//
//   value_cyc   n, within 2^52 of zero
//   factor      L, n x n, unit lower triangular: Q = L^T diag(d) L
//   variances   d, n, positive [cycles^2]
//   count       how many vectors, at least 1
//   most_nodes  after so many values tried the answer is "not found"
//   source      order of the trials: Schnorr, Euchner, "Lattice basis
//               reduction", Math. Programming 66 (1994) 181-199
//   threads     pure
IntegerCandidates search_integers(
    const Eigen::Ref<const Eigen::VectorXd>& value_cyc,
    const Eigen::Ref<const Eigen::MatrixXd>& factor,
    const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2,
    int count,
    std::int64_t most_nodes = kMostNodes);

}  // namespace stillpoint::math

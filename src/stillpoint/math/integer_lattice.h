// Ambiguities in combinations that hardly depend on each other: what makes the
// search for integers quick, and says beforehand how sure it can be.
#pragma once

#include <Eigen/Dense>
#include <optional>

namespace stillpoint::math {

// transform^T Q transform = factor^T diag(variances) factor, where Q is the
// covariance of the ambiguities a, and z = transform^T a their combinations.
// variances(i) is that of z(i) once z(i + 1) ... z(n - 1) are known: the last
// is the best determined, and the last k with the lower right blocks are a
// lattice of their own (their marginal distribution).
struct IntegerLattice {
  Eigen::MatrixXd transform;       // Z: n x n whole numbers, |det| = 1
  Eigen::MatrixXd factor;          // L: n x n, lower triangular, ones
  Eigen::VectorXd variances_cyc2;  // D: n
};

// Factorises, then decorrelates by integer Gauss steps and exchanges of
// neighbours until no exchange makes the later variance smaller.
//
//   covariance_cyc2  n x n, symmetric (the lower half is read)
//   returns          nothing where it is not positive definite beyond rounding,
//                    not finite, or needs whole numbers above 2^53
//   source           Teunissen, "The least-squares ambiguity decorrelation
//                    adjustment", J. Geodesy 70 (1995) 65-82; the exchange is
//                    the one of Lenstra, Lenstra, Lovasz, Math. Ann. 261
//                    (1982) 515-534, with their factor nearly one
//   threads          pure
std::optional<IntegerLattice> decorrelate(
    const Eigen::MatrixXd& covariance_cyc2);

// The same without decorrelation, in the given order (transform: identity).
std::optional<IntegerLattice> factorise(const Eigen::MatrixXd& covariance_cyc2);

// Chance that rounding one after the other, last first, goes wrong: a bound of
// that of the closest vector from above.
//
//   source   Teunissen, "Success probability of integer GPS ambiguity rounding
//            and bootstrapping", J. Geodesy 72 (1998) 606-612:
//            success = prod(2 Phi(1 / (2 sigma_i)) - 1)
double bootstrapped_failure(
    const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2);

// Ambiguity dilution of precision, det(Q)^(1 / 2n) [cycles].
//
//   source   Teunissen, "A canonical theory for short GPS baselines, part IV",
//            J. Geodesy 71 (1997) 513-525 (from memory)
double adop_cyc(const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2);

}  // namespace stillpoint::math

#include "draws.h"

#include <cmath>

namespace integer_thresholds {

using stillpoint::math::bootstrapped_failure;
using stillpoint::math::IntegerLattice;

IntegerLattice scaled_to(IntegerLattice lattice, double failure) {
  double low = -60, high = 60;  // natural logarithm of the factor
  for (int k = 0; k < 80; ++k) {
    const double middle = (low + high) / 2;
    const double factor = std::exp(middle);
    (bootstrapped_failure(lattice.variances_cyc2 * factor) < failure ? low
                                                                     : high) =
        middle;
  }
  lattice.variances_cyc2 *= std::exp(low);
  return lattice;
}

Eigen::VectorXd draw(Random& random, const IntegerLattice& lattice) {
  const Eigen::VectorXd scaled =
      lattice.variances_cyc2.cwiseSqrt().cwiseProduct(
          normals(random, lattice.variances_cyc2.size()));
  return lattice.factor.transpose() * scaled;
}

double upper_rate(std::int64_t wrong, std::int64_t draws) {
  if (wrong >= draws) {
    return 1;
  }
  const auto n = static_cast<double>(draws);
  // The rate at which so few or fewer would be seen in one case of twenty.
  const auto at_most = [&](double rate) {
    double sum = 0;
    double log_term = n * std::log1p(-rate);
    for (std::int64_t k = 0; k <= wrong; ++k) {
      sum += std::exp(log_term);
      const auto x = static_cast<double>(k);
      log_term += std::log((n - x) / (x + 1)) + std::log(rate / (1 - rate));
    }
    return sum;
  };
  double low = static_cast<double>(wrong) / n, high = 1;
  for (int k = 0; k < 100; ++k) {
    const double middle = (low + high) / 2;
    (at_most(middle) > 0.05 ? low : high) = middle;
  }
  return high;
}

}  // namespace integer_thresholds

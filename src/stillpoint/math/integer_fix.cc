#include "stillpoint/math/integer_fix.h"

#include <algorithm>
#include <array>

#include "stillpoint/math/integer_lattice.h"
#include "stillpoint/math/integer_search.h"
#include "stillpoint/math/integer_thresholds.h"

namespace stillpoint::math {
namespace {

using Index = Eigen::Index;

constexpr double kLargestWhole = 9007199254740992.0;  // 2^53

// Bounds of failure of the sets to be tried, besides the last that needs no
// test: a set tried in vain costs a share of the rate, so they are few.
constexpr std::array<double, kMostSets - 1> kBounds = {0.1, 0.01, 0.001};

// The greatest k whose last k combinations fail at most so often.
Index greatest_set(const Eigen::VectorXd& variances, double most_failure) {
  Index k = 0;
  while (k < variances.size() &&
         bootstrapped_failure(variances.tail(k + 1)) <= most_failure) {
    ++k;
  }
  return k;
}

// Values near zero, so that nothing is lost by their size.
struct Near {
  Eigen::VectorXd whole;  // of the ambiguities
  Eigen::VectorXd rest;   // of the combinations
};

// Searches the last k combinations and says whether the best ones passed.
bool passes(const IntegerLattice& lattice,
            const Near& near,
            Index k,
            double failure_rate,
            IntegerFix& fix) {
  const auto variances = lattice.variances_cyc2.tail(k);
  const double failure = bootstrapped_failure(variances);
  fix.success_rate = 1 - failure;
  fix.threshold = ratio_threshold(static_cast<int>(k), failure, failure_rate);
  const IntegerCandidates best = search_integers(
      near.rest.tail(k), lattice.factor.bottomRightCorner(k, k), variances, 2);
  if (!best.found) {
    return false;
  }
  const double closest = best.squared_norms(0);
  fix.ratio = closest > 0 ? best.squared_norms(1) / closest
                          : std::numeric_limits<double>::infinity();
  if (!(fix.ratio >= fix.threshold)) {
    return false;
  }
  const Eigen::MatrixXd combinations = lattice.transform.rightCols(k);
  const Eigen::VectorXd size =
      combinations.cwiseAbs().transpose() * near.whole.cwiseAbs() +
      best.vectors.col(0).cwiseAbs();
  if (!(size.maxCoeff() <= kLargestWhole)) {
    return false;
  }
  fix.values = combinations.transpose() * near.whole + best.vectors.col(0);
  fix.combinations = combinations;
  return true;
}

}  // namespace

IntegerFix fix_integers(const Eigen::VectorXd& float_cyc,
                        const Eigen::MatrixXd& covariance_cyc2,
                        const IntegerPolicy& policy) {
  const Index n = float_cyc.size();
  IntegerFix fix{.combinations = Eigen::MatrixXd(n, 0), .values = {}};
  if (n == 0 || covariance_cyc2.rows() != n || !float_cyc.allFinite()) {
    return fix;
  }
  const auto lattice = decorrelate(covariance_cyc2);
  if (!lattice) {
    return fix;
  }
  fix.adop_cyc = adop_cyc(lattice->variances_cyc2);
  Near near;
  near.whole = float_cyc.array().round();
  near.rest = lattice->transform.transpose() * (float_cyc - near.whole);
  std::array<double, kMostSets> bounds{};
  std::copy(kBounds.begin(), kBounds.end(), bounds.begin());
  bounds.back() = policy.failure_rate / kMostSets;
  Index last = n + 1;
  for (const double bound : bounds) {
    const Index k = greatest_set(lattice->variances_cyc2, bound);
    if (k < std::max(policy.fewest, 1)) {
      break;
    }
    // Not the same set twice; nor one that needs no test before a greater one.
    if (k < last && bound >= bounds.back()) {
      if (passes(*lattice, near, k, policy.failure_rate, fix)) {
        break;
      }
      last = k;
    }
  }
  return fix;
}

}  // namespace stillpoint::math

// Real-valued ambiguities to integers: as many as can be told with the asked
// for certainty, and no more.
#pragma once

#include <Eigen/Dense>
#include <limits>

namespace stillpoint::math {

struct IntegerPolicy {
  // Largest share of wrong fixes among all attempts: 0.001 or 0.01 (what the
  // table of thresholds was derived for; docs/integers.md).
  double failure_rate = 0.001;
  // A set of fewer integers is not worth the risk.
  int fewest = 4;
};

// What was decided. The integers come as combinations of the ambiguities:
// combinations^T * ambiguities = values, each column of whole numbers.
struct IntegerFix {
  Eigen::MatrixXd combinations;  // n x k
  Eigen::VectorXd values;        // k, whole numbers
  // Squared norm of the second best set over that of the best; infinite where
  // the best fits exactly; NaN where none was searched.
  double ratio = std::numeric_limits<double>::quiet_NaN();
  double threshold = 0;     // that the ratio had to reach
  double success_rate = 0;  // bootstrapped, of the k
  double adop_cyc = 0;      // of all n
  [[nodiscard]] int count() const { return static_cast<int>(values.size()); }
};

// Decorrelates, then tries the largest set whose bootstrapped success rate
// allows it, best determined combinations first, and keeps what passes the
// ratio test; smaller sets until one passes or too few are left (k = 0).
//
//   float_cyc        n ambiguities [cycles]
//   covariance_cyc2  n x n, positive definite
//   source           docs/integers.md
IntegerFix fix_integers(const Eigen::VectorXd& float_cyc,
                        const Eigen::MatrixXd& covariance_cyc2,
                        const IntegerPolicy& policy = {});

}  // namespace stillpoint::math

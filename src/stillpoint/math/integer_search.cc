#include "stillpoint/math/integer_search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace stillpoint::math {
namespace {

using Index = Eigen::Index;

constexpr double kLargestValue = 4503599627370496.0;  // 2^52

// The best so far, closest first; few, so a sorted row will do.
class Best {
 public:
  Best(Index n, Index count) : vectors_(n, count), norms_(count) {}

  [[nodiscard]] double bound() const {
    return held_ < norms_.size() ? std::numeric_limits<double>::infinity()
                                 : norms_(held_ - 1);
  }

  void add(const Eigen::VectorXd& vector, double norm) {
    Index at = held_ < norms_.size() ? held_++ : held_ - 1;
    for (; at > 0 && norms_(at - 1) > norm; --at) {
      vectors_.col(at) = vectors_.col(at - 1);
      norms_(at) = norms_(at - 1);
    }
    vectors_.col(at) = vector;
    norms_(at) = norm;
  }

  void move_to(IntegerCandidates& result) {
    result.vectors = std::move(vectors_);
    result.squared_norms = std::move(norms_);
    result.found = held_ == result.squared_norms.size();
  }

 private:
  Eigen::MatrixXd vectors_;
  Eigen::VectorXd norms_;
  Index held_ = 0;
};

// One value after the other; level n - 1 first, level 0 completes a vector.
class Walk {
 public:
  Walk(const Eigen::Ref<const Eigen::VectorXd>& value,
       const Eigen::Ref<const Eigen::MatrixXd>& factor)
      : value_(value),
        factor_(factor),
        n_(value.size()),
        whole_(n_),
        center_(n_),
        off_(Eigen::VectorXd::Zero(n_)),
        step_(n_),
        above_(Eigen::VectorXd::Zero(n_ + 1)) {}

  // The closest whole number to value k, given those of the levels above.
  void enter(Index k) {
    const Index later = n_ - 1 - k;
    center_(k) = value_(k) + factor_.col(k).tail(later).dot(off_.tail(later));
    whole_(k) = std::round(center_(k));
    off_(k) = whole_(k) - center_(k);
    step_(k) = off_(k) <= 0 ? 1 : -1;
  }

  // The next one, on the other side.
  void next(Index k) {
    whole_(k) += step_(k);
    off_(k) = whole_(k) - center_(k);
    step_(k) = -step_(k) - (step_(k) > 0 ? 1 : -1);
  }

  double norm_at(Index k, double variance) {
    above_(k) = above_(k + 1) + off_(k) * off_(k) / variance;
    return above_(k);
  }

  [[nodiscard]] const Eigen::VectorXd& whole() const { return whole_; }

 private:
  const Eigen::Ref<const Eigen::VectorXd>& value_;
  const Eigen::Ref<const Eigen::MatrixXd>& factor_;
  Index n_;
  Eigen::VectorXd whole_, center_;
  Eigen::VectorXd off_;    // whole number less conditional value
  Eigen::VectorXd step_;   // to the next trial
  Eigen::VectorXd above_;  // (k): norm of the levels k ... n - 1
};

}  // namespace

IntegerCandidates search_integers(
    const Eigen::Ref<const Eigen::VectorXd>& value_cyc,
    const Eigen::Ref<const Eigen::MatrixXd>& factor,
    const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2,
    int count,
    std::int64_t most_nodes) {
  IntegerCandidates result;
  const Index n = value_cyc.size();
  if (n == 0 || count < 1 || factor.rows() != n || factor.cols() != n ||
      variances_cyc2.size() != n || !factor.allFinite() ||
      !variances_cyc2.allFinite() || !(variances_cyc2.minCoeff() > 0) ||
      !(value_cyc.cwiseAbs().maxCoeff() < kLargestValue)) {
    return result;
  }
  Best best(n, count);
  Walk walk(value_cyc, factor);
  Index k = n - 1;
  walk.enter(k);
  for (; result.nodes < most_nodes; ++result.nodes) {
    if (walk.norm_at(k, variances_cyc2(k)) < best.bound()) {
      if (k > 0) {
        walk.enter(--k);
        continue;
      }
      best.add(walk.whole(), walk.norm_at(0, variances_cyc2(0)));
    } else {
      // Those further out on this level are worse still.
      if (++k == n) {
        best.move_to(result);
        break;
      }
    }
    walk.next(k);
  }
  return result;
}

}  // namespace stillpoint::math

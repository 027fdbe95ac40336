#include "stillpoint/math/integer_lattice.h"

#include <cmath>
#include <limits>
#include <utility>

namespace stillpoint::math {
namespace {

using Index = Eigen::Index;

constexpr double kLargestWhole = 9007199254740992.0;  // 2^53
// An exchange must gain this much, or rounding could repeat it for ever.
constexpr double kGain = 0.999999;
// A conditional variance below so many roundings of the variance is noise.
constexpr double kNoise = 4 * std::numeric_limits<double>::epsilon();

IntegerLattice identity(Index n) {
  return {.transform = Eigen::MatrixXd::Identity(n, n),
          .factor = Eigen::MatrixXd::Identity(n, n),
          .variances_cyc2 = Eigen::VectorXd::Zero(n)};
}

// Best determined last, so that it is the first of the conditioning.
bool factorise_into(const Eigen::MatrixXd& covariance,
                    bool choose,
                    IntegerLattice& lattice) {
  const Index n = covariance.rows();
  Eigen::MatrixXd q = covariance.selfadjointView<Eigen::Lower>();
  Eigen::VectorXd floors = kNoise * static_cast<double>(n) * q.diagonal();
  Eigen::MatrixXd& l = lattice.factor;
  for (Index j = n - 1; j >= 0; --j) {
    if (choose) {
      Index least = j;
      q.diagonal().head(j + 1).minCoeff(&least);
      if (least != j) {
        q.row(least).head(j + 1).swap(q.row(j).head(j + 1));
        q.col(least).head(j + 1).swap(q.col(j).head(j + 1));
        l.col(least).tail(n - 1 - j).swap(l.col(j).tail(n - 1 - j));
        lattice.transform.col(least).swap(lattice.transform.col(j));
        std::swap(floors(least), floors(j));
      }
    }
    const double pivot = q(j, j);
    if (!(pivot > floors(j)) || !(pivot > 0)) {
      return false;
    }
    lattice.variances_cyc2(j) = pivot;
    const Eigen::RowVectorXd row = q.row(j).head(j) / pivot;
    l.row(j).head(j) = row;
    q.topLeftCorner(j, j).noalias() -= q.col(j).head(j) * row;
  }
  return true;
}

class Reduction {
 public:
  explicit Reduction(IntegerLattice& lattice)
      : z_(lattice.transform),
        l_(lattice.factor),
        d_(lattice.variances_cyc2),
        n_(z_.rows()),
        largest_(Eigen::VectorXd::Ones(n_)) {}

  bool run() {
    // Far more than is ever needed; what is there by then is valid, if slow.
    Index left = 100 * n_ * n_ + 10000;
    for (Index k = n_ - 2; k >= 0 && left > 0;) {
      const double off = l_(k + 1, k) - std::round(l_(k + 1, k));
      if (d_(k) + off * off * d_(k + 1) < kGain * d_(k + 1)) {
        if (!shorten(k)) {
          return false;
        }
        exchange(k);
        k = std::min(k + 1, n_ - 2);
        --left;
      } else {
        --k;
      }
    }
    for (Index k = n_ - 2; k >= 0; --k) {
      if (!shorten(k)) {
        return false;
      }
    }
    return d_.allFinite() && l_.allFinite() && d_.minCoeff() > 0;
  }

 private:
  // Column k with whole multiples of the later ones taken off.
  bool shorten(Index k) {
    for (Index i = k + 1; i < n_; ++i) {
      const double times = std::round(l_(i, k));
      if (times == 0) {
        continue;
      }
      if (!(largest_(k) + std::abs(times) * largest_(i) <= kLargestWhole)) {
        return false;
      }
      l_.col(k).tail(n_ - i) -= times * l_.col(i).tail(n_ - i);
      z_.col(k) -= times * z_.col(i);
      largest_(k) = z_.col(k).cwiseAbs().maxCoeff();
    }
    return true;
  }

  void exchange(Index k) {
    const double off = l_(k + 1, k);
    const double sum = d_(k) + off * off * d_(k + 1);
    const double eta = d_(k) / sum;
    const double lambda = d_(k + 1) * off / sum;
    d_(k) = eta * d_(k + 1);
    d_(k + 1) = sum;
    for (Index c = 0; c < k; ++c) {
      const double upper = l_(k, c);
      const double lower = l_(k + 1, c);
      l_(k, c) = lower - off * upper;
      l_(k + 1, c) = eta * upper + lambda * lower;
    }
    l_(k + 1, k) = lambda;
    const Index rest = n_ - k - 2;
    l_.col(k).tail(rest).swap(l_.col(k + 1).tail(rest));
    z_.col(k).swap(z_.col(k + 1));
    std::swap(largest_(k), largest_(k + 1));
  }

  Eigen::MatrixXd& z_;
  Eigen::MatrixXd& l_;
  Eigen::VectorXd& d_;
  Index n_;
  Eigen::VectorXd largest_;  // of each column of z_
};

bool is_usable(const Eigen::MatrixXd& covariance) {
  return covariance.rows() > 0 && covariance.rows() == covariance.cols() &&
         covariance.allFinite();
}

}  // namespace

std::optional<IntegerLattice> decorrelate(
    const Eigen::MatrixXd& covariance_cyc2) {
  if (!is_usable(covariance_cyc2)) {
    return std::nullopt;
  }
  std::optional<IntegerLattice> lattice = identity(covariance_cyc2.rows());
  if (!factorise_into(covariance_cyc2, true, *lattice) ||
      !Reduction(*lattice).run()) {
    lattice.reset();
  }
  return lattice;
}

std::optional<IntegerLattice> factorise(
    const Eigen::MatrixXd& covariance_cyc2) {
  if (!is_usable(covariance_cyc2)) {
    return std::nullopt;
  }
  std::optional<IntegerLattice> lattice = identity(covariance_cyc2.rows());
  if (!factorise_into(covariance_cyc2, false, *lattice)) {
    lattice.reset();
  }
  return lattice;
}

double bootstrapped_failure(
    const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2) {
  double log_success = 0;
  for (const double variance : variances_cyc2) {
    // 1 - (2 Phi(1 / (2 sigma)) - 1) = erfc(1 / sqrt(8 variance))
    log_success += std::log1p(-std::erfc(1 / std::sqrt(8 * variance)));
  }
  return -std::expm1(log_success);
}

double adop_cyc(const Eigen::Ref<const Eigen::VectorXd>& variances_cyc2) {
  return std::exp(variances_cyc2.array().log().mean() / 2);
}

}  // namespace stillpoint::math

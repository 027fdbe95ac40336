#include "stillpoint/solve/network.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/core/check.h"
#include "stillpoint/solve/chi_square.h"
#include "stillpoint/solve/network_parts.h"

namespace stillpoint::solve {
namespace {

constexpr double kSmallestSigmaM = 1e-4;
using Block = Eigen::Matrix3d;

Eigen::Index row_of(std::size_t tie) {
  return 3 * static_cast<Eigen::Index>(tie);
}

Cov3 to_cov3(const Block& m) {
  Cov3 out{};
  for (std::size_t i = 0; i < 9; ++i) {
    out.at(i) =
        m(static_cast<Eigen::Index>(i / 3), static_cast<Eigen::Index>(i % 3));
  }
  return out;
}

// Of known + vector, all ties: the known coordinates for themselves, half of
// each vector's noise common to all.
Eigen::MatrixXd covariance_of(const std::vector<NetworkTie>& ties,
                              const std::vector<Block>& known_m2) {
  std::vector<Block> factor;
  factor.reserve(ties.size());
  for (const NetworkTie& tie : ties) {
    factor.emplace_back(usable_covariance(tie.vector_m2).llt().matrixL());
  }
  const Eigen::Index n = row_of(ties.size());
  Eigen::MatrixXd c(n, n);
  for (std::size_t i = 0; i < ties.size(); ++i) {
    for (std::size_t j = 0; j < ties.size(); ++j) {
      const Block common = factor[i] * factor[j].transpose();
      c.block<3, 3>(row_of(i), row_of(j)) =
          i == j ? Block(common + known_m2[i]) : Block(common / 2);
    }
  }
  return c;
}

Block enu_rotation(const Ecef& at) {
  const Mat3 r = enu_R_ecef(to_geodetic(at));
  return Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(
      r.data());
}

// The adjustment of y = position + noise, y being known + vector of each tie.
struct Adjustment {
  Eigen::Vector3d x;          // less the first y
  Block covariance;           // of x
  Eigen::VectorXd residuals;  // of y
  Eigen::VectorXd pulls;      // inverse covariance times residuals
  Eigen::MatrixXd pulls_m2;   // covariance of the pulls
};

Adjustment adjust(const std::vector<NetworkTie>& ties,
                  const std::vector<Block>& known_m2) {
  const Eigen::Index n = row_of(ties.size());
  Eigen::VectorXd y(n);
  Eigen::MatrixXd a(n, 3);  // 3n x 3, rows = x, y, z of each tie
  for (std::size_t i = 0; i < ties.size(); ++i) {
    // Small numbers first: the differences of the known coordinates.
    y.segment<3>(row_of(i)) = to_eigen(ties[i].known_m - ties[0].known_m) +
                              to_eigen(ties[i].vector_m - ties[0].vector_m);
    a.block<3, 3>(row_of(i), 0).setIdentity();
  }
  const Eigen::LLT<Eigen::MatrixXd> c(covariance_of(ties, known_m2));
  STILLPOINT_CHECK(c.info() == Eigen::Success);
  const Eigen::MatrixXd weighted = c.solve(a);
  Adjustment out;
  out.covariance = (a.transpose() * weighted).inverse();
  out.covariance = (out.covariance + out.covariance.transpose()).eval() / 2;
  out.x = out.covariance * (weighted.transpose() * y);
  out.residuals = y - a * out.x;
  out.pulls = c.solve(out.residuals);
  out.pulls_m2 = c.solve(Eigen::MatrixXd::Identity(n, n)) -
                 weighted * out.covariance * weighted.transpose();
  return out;
}

KnownShift shift_of(const Adjustment& a, std::size_t tie) {
  const Eigen::Vector3d pull = a.pulls.segment<3>(row_of(tie));
  KnownShift out;
  out.covariance_m2 =
      a.pulls_m2.block<3, 3>(row_of(tie), row_of(tie)).inverse();
  out.shift_m = out.covariance_m2 * pull;
  out.test = pull.dot(out.shift_m);
  return out;
}

NetworkTieResult result_of(const Adjustment& a,
                           const NetworkTie& tie,
                           std::size_t index,
                           bool tested) {
  const Block turn = enu_rotation(tie.known_m);
  const Eigen::Vector3d residual = turn * a.residuals.segment<3>(row_of(index));
  NetworkTieResult out;
  out.residual_enu_m = {residual.x(), residual.y(), residual.z()};
  if (tested) {
    const Eigen::Vector3d pull = turn * a.pulls.segment<3>(row_of(index));
    const Block m2 = turn *
                     a.pulls_m2.block<3, 3>(row_of(index), row_of(index)) *
                     turn.transpose();
    out.test = (pull.array().abs() / m2.diagonal().array().sqrt()).maxCoeff();
  }
  return out;
}

}  // namespace

Eigen::Vector3d to_eigen(const Ecef& v) {
  return {v.x_m, v.y_m, v.z_m};
}

Eigen::Matrix3d usable_covariance(const Cov3& c) {
  const Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>> given(
      c.data());
  STILLPOINT_CHECK(given.allFinite());
  Block m = (given + given.transpose()) / 2;
  const Eigen::SelfAdjointEigenSolver<Block> axes(m);
  constexpr double kLeastM2 = kSmallestSigmaM * kSmallestSigmaM;
  if (axes.eigenvalues().minCoeff() < kLeastM2) {
    m = axes.eigenvectors() *
        axes.eigenvalues().cwiseMax(kLeastM2).asDiagonal() *
        axes.eigenvectors().transpose();
  }
  return m;
}

Network adjust_network(const std::vector<NetworkTie>& ties,
                       const std::vector<KnownEvidence>& evidence,
                       const NetworkFrame& frame) {
  STILLPOINT_CHECK(!ties.empty());
  NetworkCase question{&ties, &evidence, &frame, {}, {}, 0, 0, 0, true};
  for (const NetworkTie& tie : ties) {
    question.known_m2.push_back(usable_covariance(tie.known_m2));
  }
  const Adjustment a = adjust(ties, question.known_m2);
  Network out;
  out.position_m =
      ties[0].known_m + ties[0].vector_m + Ecef{a.x.x(), a.x.y(), a.x.z()};
  out.dof = 3 * (static_cast<int>(ties.size()) - 1);
  const bool tested = out.dof > 0;
  if (tested) {
    out.chi2 = a.residuals.dot(a.pulls);
    out.limit = chi_square_limit(kFalseAlarms, out.dof);
    out.passed = out.chi2 <= out.limit;
  }
  const double enlarged = out.passed ? 1 : out.chi2 / out.dof;
  out.covariance_m2 = to_cov3(a.covariance * enlarged);
  for (std::size_t i = 0; i < ties.size(); ++i) {
    out.ties.push_back(result_of(a, ties[i], i, tested));
    if (tested) {
      question.shifts.push_back(shift_of(a, i));
    }
  }
  question.chi2 = out.chi2;
  question.limit = out.limit;
  question.dof = out.dof;
  question.passed = out.passed;
  NetworkVerdict verdict = judge_network(question);
  out.suspect = verdict.suspect;
  out.why = std::move(verdict.why);
  return out;
}

}  // namespace stillpoint::solve

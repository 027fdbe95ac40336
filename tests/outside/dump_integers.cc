// Test program: our search for the closest whole-number vector, one problem a
// line on stdin, one answer a line on stdout.
//
//   N COUNT B(1,1) ... B(N,N) T(1) ... T(N)    whole numbers; the rows of B are
//                                              a basis, T is the target
//   answer: COUNT vectors of N coefficients, those of the lattice vectors
//   closest to T, closest first
//
// As the engine sees it: float values a = (B^T)^-1 T with the covariance
// (B B^T)^-1, decorrelated, searched, taken back.
//
// --break-field K adds one to coefficient K (from 0) of the first answer.
// Exit: 0; 3 at the first line that is no problem, 4 where none was found.
#include <Eigen/Dense>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <optional>
#include <sstream>
#include <string>

#include "stillpoint/math/integer_lattice.h"
#include "stillpoint/math/integer_search.h"

namespace {

using namespace stillpoint::math;

struct Problem {
  int count = 0;
  Eigen::MatrixXd basis;
  Eigen::VectorXd target;
};

std::optional<Problem> read(const std::string& line) {
  std::istringstream in(line);
  int n = 0;
  Problem problem;
  if (!(in >> n >> problem.count) || n < 1 || n > 200 || problem.count < 1) {
    return std::nullopt;
  }
  problem.basis.resize(n, n);
  problem.target.resize(n);
  for (Eigen::Index r = 0; r < n; ++r) {
    for (Eigen::Index c = 0; c < n; ++c) {
      in >> problem.basis(r, c);
    }
  }
  for (double& x : problem.target) {
    in >> x;
  }
  return in ? std::optional(problem) : std::nullopt;
}

// Coefficients, one answer a column.
std::optional<Eigen::MatrixXd> closest(const Problem& problem) {
  const Eigen::MatrixXd inverse = problem.basis.inverse();
  const Eigen::VectorXd value = inverse.transpose() * problem.target;
  const auto lattice = decorrelate(inverse.transpose() * inverse);
  if (!lattice) {
    return std::nullopt;
  }
  const Eigen::VectorXd whole = value.array().round();
  const auto found =
      search_integers(lattice->transform.transpose() * (value - whole),
                      lattice->factor,
                      lattice->variances_cyc2,
                      problem.count,
                      1'000'000'000);
  if (!found.found) {
    return std::nullopt;
  }
  const Eigen::MatrixXd back =
      lattice->transform.transpose().partialPivLu().solve(found.vectors);
  return Eigen::MatrixXd(back.array().round().colwise() + whole.array());
}

}  // namespace

int main(int argc, char** argv) {
  int broken = -1;
  if (argc == 3 && std::string(argv[1]) == "--break-field") {
    broken = static_cast<int>(std::strtol(argv[2], nullptr, 10));
  }
  for (std::string line; std::getline(std::cin, line);) {
    const auto problem = read(line);
    if (!problem) {
      std::fprintf(stderr, "not a problem: %.60s\n", line.c_str());
      return 3;
    }
    auto answer = closest(*problem);
    if (!answer) {
      std::fprintf(stderr, "not found: %.60s\n", line.c_str());
      return 4;
    }
    if (broken >= 0 && broken < answer->rows()) {
      (*answer)(broken, 0) += 1;
      broken = -1;
    }
    for (const double x : answer->reshaped()) {
      std::printf("%.0f ", x);
    }
    std::printf("\n");
  }
  return 0;
}

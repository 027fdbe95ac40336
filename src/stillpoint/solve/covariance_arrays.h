// Covariances of a position between matrices and the arrays of geo.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cmath>

#include "stillpoint/geo/coords.h"

namespace stillpoint::solve {

inline Cov3 to_array(const Eigen::Matrix3d& m) {
  return {m(0, 0),
          m(0, 1),
          m(0, 2),
          m(1, 0),
          m(1, 1),
          m(1, 2),
          m(2, 0),
          m(2, 1),
          m(2, 2)};
}

// One sigma on each axis.
inline std::array<double, 3> sigmas(const Cov3& c) {
  return {std::sqrt(c[0]), std::sqrt(c[4]), std::sqrt(c[8])};
}

// Variances east, north, up of a covariance in ECEF.
inline std::array<double, 3> variances_enu(const Mat3& enu_R_ecef,
                                           const Eigen::Matrix3d& ecef) {
  const Cov3 c = covariance_to_enu(enu_R_ecef, to_array(ecef));
  return {c[0], c[4], c[8]};
}

}  // namespace stillpoint::solve

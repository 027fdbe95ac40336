// Ties of the project's own world: stations about Larch Hollow at stated places
// with stated mistakes.
#pragma once

#include <Eigen/Dense>
#include <cmath>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/solve/network.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve::test_scene {

inline constexpr double kRadPerDeg = 3.14159265358979323846 / 180;

inline Ecef place(double lat_deg, double lon_deg, double height_m) {
  return to_ecef({lat_deg * kRadPerDeg, lon_deg * kRadPerDeg, height_m});
}

inline Ecef here() {
  return place(47.3, 8.9, 512);
}

// Of sigmas east, north, up [m].
inline Cov3 covariance(const Ecef& at, double e_m, double n_m, double u_m) {
  const Cov3 enu{e_m * e_m, 0, 0, 0, n_m * n_m, 0, 0, 0, u_m * u_m};
  return covariance_to_ecef(enu_R_ecef(to_geodetic(at)), enu);
}

// Without any noise; the known coordinate is `wrong` by so much.
inline NetworkTie tie_to(std::string name, const Ecef& there, Enu wrong = {}) {
  return {std::move(name),
          from_enu(wrong, there),
          covariance(there, 0.003, 0.003, 0.006),
          here() - there,
          covariance(there, 0.003, 0.003, 0.007)};
}

inline std::vector<Ecef> places() {
  return {place(47.5, 8.4, 480),
          place(46.9, 9.2, 910),
          place(47.6, 9.6, 430),
          place(47.0, 8.3, 1240),
          place(47.9, 8.8, 700)};
}

inline const std::vector<std::string>& names() {
  static const std::vector<std::string> all_names{
      "ALDR", "BRCH", "CDAR", "ELMS", "FIRS"};
  return all_names;
}

inline std::vector<NetworkTie> sound(std::size_t count) {
  std::vector<NetworkTie> ties;
  for (std::size_t i = 0; i < count; ++i) {
    ties.push_back(tie_to(names().at(i), places().at(i)));
  }
  return ties;
}

inline void displace(NetworkTie& tie, Enu by) {
  tie.known_m = from_enu(by, tie.known_m);
}

// A vector of ECEF with that covariance, from three normal numbers.
inline Ecef with_covariance(const Cov3& m2, const Eigen::Vector3d& normal) {
  const Eigen::Map<const Eigen::Matrix3d> m(m2.data());
  const Eigen::Vector3d v = m.llt().matrixL() * normal;
  return {v.x(), v.y(), v.z()};
}

inline Eigen::Vector3d three_normals(std::mt19937& random) {
  std::normal_distribution<double> normal;
  Eigen::Vector3d v;
  for (double& x : v) {
    x = normal(random);
  }
  return v;
}

inline Ecef noise(std::mt19937& random, const Cov3& m2) {
  return with_covariance(m2, three_normals(random));
}

// The ties with noise as their covariances have it; half of the vectors'
// variance comes from the antenna here and is the same for all.
inline std::vector<NetworkTie> drawn(std::vector<NetworkTie> ties,
                                     std::mt19937& random) {
  const Eigen::Vector3d here_noise = three_normals(random);
  for (NetworkTie& t : ties) {
    t.known_m = t.known_m + noise(random, t.known_m2);
    const Eigen::Vector3d there_noise = three_normals(random);
    t.vector_m = t.vector_m +
                 with_covariance(t.vector_m2,
                                 (here_noise + there_noise) * std::sqrt(0.5));
  }
  return ties;
}

// The station's true place, missed by so much.
inline KnownEvidence evidence(std::size_t index,
                              Enu missed,
                              double sigma_m,
                              const char* method = "ppp-float") {
  const Ecef at = places().at(index);
  return {index,
          from_enu(missed, at),
          covariance(at, sigma_m, sigma_m, 2 * sigma_m),
          method};
}

inline bool says(const std::string& why, std::string_view words) {
  return why.find(words) != std::string::npos;
}

}  // namespace stillpoint::solve::test_scene

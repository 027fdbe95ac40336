// Between network.cc, which adjusts, and network_judge.cc, which looks for the
// wrong coordinate.
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/solve/network.h"

namespace stillpoint::solve {

// Of a sound network; see adjust_network().
inline constexpr double kFalseAlarms = 0.001;

Eigen::Vector3d to_eigen(const Ecef& v);
// Symmetric, with no direction better than 0.1 mm [m^2].
Eigen::Matrix3d usable_covariance(const Cov3& c);

// What one known coordinate would be wrong by if all others were right.
struct KnownShift {
  Eigen::Vector3d shift_m = Eigen::Vector3d::Zero();  // known minus others'
  Eigen::Matrix3d covariance_m2 = Eigen::Matrix3d::Zero();
  // Chi-square of three; what chi2 loses when the tie is left out.
  double test = 0;
};

// The question for the judge.
struct NetworkCase {
  const std::vector<NetworkTie>* ties = nullptr;
  const std::vector<KnownEvidence>* evidence = nullptr;
  const NetworkFrame* frame = nullptr;
  std::vector<Eigen::Matrix3d> known_m2;  // usable
  std::vector<KnownShift> shifts;         // empty for a single tie
  double chi2 = 0, limit = 0;
  int dof = 0;
  bool passed = true;
};

struct NetworkVerdict {
  std::optional<std::size_t> suspect;
  std::string why;
};
NetworkVerdict judge_network(const NetworkCase& c);

// "ALDR, BRCH and CDAR".
std::string names_text(const std::vector<NetworkTie>& ties);

// "chi-square 4.2, at most 16.3 in …".
std::string test_text(const NetworkCase& c);

// What disagrees and by how much, the coordinate of one station held against
// the others.
std::string conflict_text(const NetworkCase& c, std::size_t first);

// "62 mm (east 12, north -61, up 3)", at the place.
std::string size_text(const Eigen::Vector3d& v_m, const Ecef& at);

// A remark where a known coordinate is what a national frame would give it;
// empty where none fits or nobody says which frame it should be in.
//
//   place_m   where it should be
//   sigma_m   of that
std::string national_remark(const NetworkCase& c,
                            std::size_t tie,
                            const Ecef& place_m,
                            double sigma_m);

}  // namespace stillpoint::solve

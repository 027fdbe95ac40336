#include "stillpoint/solve/ppp_jump.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

constexpr std::size_t kFewest = 9;
constexpr double kSmallestM = 0.03, kLargestM = 10, kSigmas = 8;
constexpr double kLargestMeanSquare = 6;  // of what is left, in sigmas
constexpr double kStepSigmaM = 0.008;     // of a step at the zenith
// What a jump has to explain: mean square of the three components over that of
// what is left (Fisher's F). Chance gives 10 with 9 satellites once in some
// hundred epochs, and a day has thousands.
constexpr double kFisher = 60;

struct Fit {
  Eigen::Vector4d x = Eigen::Vector4d::Zero();
  double before = 0, after = 0;  // weighted squares, clock alone and with jump
  double sigma_m = 0;            // largest of the three components
  std::size_t worst = 0;
  double worst_square = 0;
};

double weight(const TimeStep& s) {
  const double sine = std::max(0.08, s.sine);
  const double noise_m = kStepSigmaM / sine;
  return 1 / (noise_m * noise_m + s.between_m * s.between_m);
}

Eigen::Vector4d partials(const TimeStep& s) {
  return {-s.to_satellite.x_m, -s.to_satellite.y_m, -s.to_satellite.z_m, 1};
}

bool fit(const std::vector<TimeStep>& steps, Fit& out) {
  Eigen::Matrix4d normals = Eigen::Matrix4d::Zero();
  Eigen::Vector4d right = Eigen::Vector4d::Zero();
  double weights = 0, mean = 0;
  for (const TimeStep& s : steps) {
    const Eigen::Vector4d a = partials(s);
    const double w = weight(s);
    normals += w * a * a.transpose();
    right += w * s.step_m * a;
    weights += w;
    mean += w * s.step_m;
  }
  mean /= weights;
  const Eigen::LDLT<Eigen::Matrix4d> ldlt(normals);
  if (ldlt.info() != Eigen::Success || !ldlt.isPositive()) {
    return false;
  }
  out = {};
  out.x = ldlt.solve(right);
  const Eigen::Matrix4d inverse =
      ldlt.solve(Eigen::Matrix4d(Eigen::Matrix4d::Identity()));
  out.sigma_m =
      std::sqrt(std::max({inverse(0, 0), inverse(1, 1), inverse(2, 2)}));
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const double w = weight(steps[i]);
    const double residual = steps[i].step_m - partials(steps[i]).dot(out.x);
    out.before += w * (steps[i].step_m - mean) * (steps[i].step_m - mean);
    out.after += w * residual * residual;
    if (w * residual * residual > out.worst_square) {
      out.worst_square = w * residual * residual;
      out.worst = i;
    }
  }
  return true;
}

}  // namespace

double jump_of(std::vector<TimeStep> steps) {
  const bool quiet =
      std::all_of(steps.begin(), steps.end(), [](const TimeStep& s) {
        return std::abs(s.step_m) < kSmallestM / 2;
      });
  if (quiet || steps.size() < kFewest) {
    return 0;
  }
  const std::size_t least = std::max(kFewest, 2 * steps.size() / 3);
  Fit f;
  while (fit(steps, f)) {
    const double size_m = f.x.head<3>().norm();
    const auto redundancy = static_cast<double>(steps.size() - 4);
    const double fisher =
        (f.before - f.after) / 3 / std::max(f.after / redundancy, 1e-12);
    if (fisher > kFisher && f.after < kLargestMeanSquare * redundancy) {
      return size_m > std::max(kSmallestM, kSigmas * f.sigma_m) &&
                     size_m < kLargestM
                 ? size_m
                 : 0;
    }
    if (steps.size() == least) {
      return 0;
    }
    // One satellite that slipped may hide the jump of all.
    steps.erase(steps.begin() + static_cast<std::ptrdiff_t>(f.worst));
  }
  return 0;
}

}  // namespace stillpoint::solve

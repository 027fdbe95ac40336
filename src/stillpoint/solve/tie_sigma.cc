#include "stillpoint/solve/tie_sigma.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "stillpoint/solve/memory_sum.h"
#include "stillpoint/solve/ppp_state.h"

namespace stillpoint::solve {
namespace {

// Share of a phase's and a code's variance that lasts, and how long [s].
constexpr double kShare = 0.6, kMemoryS = 150;
// Reflections and patterns that go with the sky: slow errors of a phase
// difference at the zenith [m]; they grow with the cosecant.
constexpr double kSlowM = 0.0006, kSlowS = 6000, kMediumM = 0.0012,
                 kMediumS = 600;
// What reflections shift a code difference by for a long time [m]: two minutes
// of codes are as good as ten. Ambiguities that are not whole lean on them.
constexpr double kSlowCodeM = 0.15;
// What a satellite's orbit and antenna are wrong by, at ends so far apart that
// they have little of it in common [m]: as for the phase position
// (docs/sigma.md).
constexpr double kFarSlowM = 0.0042, kFarM = 1'000'000;
// As tie_adjust.cc.
constexpr double kIonosphereS = 1200, kSlopeS = 5400;
// Two antennas of one type are alike to this [m].
constexpr double kSameTypeM = 0.001;
// A single band sees a third of what the combination of two sees.
constexpr double kOneBand = 1.0 / 3;

struct Sums {
  MemorySum phase{kMemoryS}, code{kMemoryS}, slow{kSlowS}, medium{kMediumS},
      slow_code{kSlowS};
  Eigen::Matrix3d white = Eigen::Matrix3d::Zero();
};

}  // namespace

std::array<double, 3> orbit_sigma_enu_m(double length_m, bool broadcast) {
  constexpr double kBroadcastM = 1, kPreciseM = 0.03, kHeightM = 2.2e7;
  const double m = (broadcast ? kBroadcastM : kPreciseM) * length_m / kHeightM;
  return {0.5 * m, 0.5 * m, 1.5 * m};
}

double far_slow_m(double length_m) {
  return kFarSlowM * std::min(1.0, length_m / kFarM);
}

Eigen::Matrix3d tie_covariance(
    const TieSession& session,
    const std::vector<TieAdjuster::Influence>& influences,
    const TieNoise& noise,
    const TieAir& air,
    double length_m,
    const TermSet& without) {
  const double slow_m = std::hypot(kSlowM, far_slow_m(length_m));
  std::map<std::pair<int, int>, Sums> sums;  // by satellite and group
  std::map<int, MemorySum> ionosphere;       // by satellite
  MemorySum slope(kSlopeS);
  Eigen::Vector3d zenith = Eigen::Vector3d::Zero(),
                  there = Eigen::Vector3d::Zero();
  const bool shares = air.ionosphere == TieIonosphere::kConstrained;
  for (std::size_t k = 0; k < session.epochs.size(); k += session.stride) {
    const TieEpoch& epoch = session.epochs[k];
    Eigen::Vector3d sloping = Eigen::Vector3d::Zero();
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      const double low =
          1 / std::max(0.05, std::sin(static_cast<double>(s.elevation_rad)));
      Eigen::Vector3d delay = Eigen::Vector3d::Zero();
      for (std::uint32_t j = s.first; j < s.first + s.count; ++j) {
        const TieRow& r = session.rows[j];
        const auto& influence = influences[j];
        Sums& sum = sums[{s.sat.index(), r.group}];
        const double factor = ionosphere_factor(s, r.wavelength_m);
        if (r.phase_used()) {
          const Eigen::Vector3d v = influence.phase *
                                    noise.phase_factor[r.group] *
                                    tie_phase_sigma_m(s, r, without);
          sum.white += (1 - kShare) * v * v.transpose();
          sum.phase.add(epoch.time, v * std::sqrt(kShare));
          sum.slow.add(epoch.time, influence.phase * (slow_m * low));
          sum.medium.add(epoch.time, influence.phase * (kMediumM * low));
          delay -= influence.phase * factor;
          zenith += influence.phase * static_cast<double>(s.wet_here);
          there +=
              influence.phase * static_cast<double>(s.wet_here - s.wet_there);
        }
        if (r.code_used()) {
          const Eigen::Vector3d v = influence.code *
                                    noise.code_factor[r.group] *
                                    tie_code_sigma_m(s, r, without);
          sum.white += (1 - kShare) * v * v.transpose();
          sum.code.add(epoch.time, v * std::sqrt(kShare));
          sum.slow_code.add(epoch.time, influence.code * (kSlowCodeM * low));
          delay += influence.code * factor;
          zenith += influence.code * static_cast<double>(s.wet_here);
          there +=
              influence.code * static_cast<double>(s.wet_here - s.wet_there);
        }
      }
      if (shares) {
        ionosphere.try_emplace(s.sat.index(), kIonosphereS)
            .first->second.add(epoch.time, delay * air.ionosphere_m);
        sloping += delay * air.slope_m;
      }
    }
    slope.add(epoch.time, sloping);
  }
  Eigen::Matrix3d total =
      air.zenith_m * air.zenith_m * zenith * zenith.transpose() +
      air.zenith_there_m * air.zenith_there_m * there * there.transpose() +
      slope.sum();
  for (const auto& [key, s] : sums) {
    total += s.white + s.phase.sum() + s.code.sum() + s.slow.sum() +
             s.medium.sum() + s.slow_code.sum();
  }
  for (const auto& [sat, sum] : ionosphere) {
    total += sum.sum();
  }
  return total;
}

std::array<double, 3> tie_calibration_sigma_enu_m(Calibration here,
                                                  Calibration there,
                                                  bool same_type,
                                                  bool free,
                                                  double elevation_mask_rad) {
  const double scale = free ? 1 : kOneBand;
  if (same_type) {
    const double sigma = kSameTypeM * (free ? 3 : 1);
    return {sigma, sigma, sigma};
  }
  std::array<double, 3> sum{};
  for (const Calibration level : {here, there}) {
    const auto sigma = calibration_sigma_enu_m(level, elevation_mask_rad);
    for (std::size_t i = 0; i < 3; ++i) {
      sum[i] = std::hypot(sum[i], scale * sigma[i]);
    }
  }
  return sum;
}

}  // namespace stillpoint::solve

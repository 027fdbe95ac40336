#include "stillpoint/solve/ppp_sigma.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/memory_sum.h"

namespace stillpoint::solve {
namespace {

// Memories [s] of multipath in phases and in codes.
constexpr double kPhaseMemoryS = 300, kCodeMemoryS = 300;
// Slow errors of a satellite's phases at the zenith [m]: orbit, clock, what the
// antennas' calibrations and the air leave. They last for hours and grow with
// the cosecant to the power 1.5.
constexpr double kSlowM = 0.0042, kSlowPower = 1.5, kSlowS = 5'000;
// The same where the ambiguities are whole numbers.
constexpr double kFixedM = 0.0035, kFixedPower = 1.75;
// A code's own constant for a satellite and a day [m].
constexpr double kCodeConstantM = 0.3;
constexpr double kForeverS = 1e9;

struct SatelliteSums {
  MemorySum phase{kPhaseMemoryS}, code{kCodeMemoryS}, slow{kSlowS},
      constant{kForeverS};
  Eigen::Matrix3d white = Eigen::Matrix3d::Zero();
};

// What the air is wrong by: the hydrostatic mapping by its one sigma for the
// whole session, zenith delay and gradients by the random walks that they are.
class AirSum {
 public:
  // Rows of one epoch; epochs in falling time.
  void add(const PppRow& r, const Eigen::Vector3d& moves) {
    mapping_ += moves * static_cast<double>(r.mapping_doubt_m);
    zenith_ += moves * static_cast<double>(r.wet_mapping);
    const auto gradient = gradient_factors(r);
    north_ += moves * gradient[0];
    east_ += moves * gradient[1];
  }
  // The steps between this epoch and the one before it.
  void step(double dt_s) {
    const double hours = dt_s / 3600;
    sum_ += kZenithWalkM * kZenithWalkM * hours * zenith_ * zenith_.transpose();
    sum_ += kGradientWalkM * kGradientWalkM * hours *
            (north_ * north_.transpose() + east_ * east_.transpose());
  }
  [[nodiscard]] Eigen::Matrix3d sum() const {
    return sum_ + mapping_ * mapping_.transpose() +
           kZenithPriorM * kZenithPriorM * zenith_ * zenith_.transpose() +
           kGradientPriorM * kGradientPriorM *
               (north_ * north_.transpose() + east_ * east_.transpose());
  }

 private:
  Eigen::Vector3d mapping_ = Eigen::Vector3d::Zero(),
                  zenith_ = Eigen::Vector3d::Zero(),
                  north_ = Eigen::Vector3d::Zero(),
                  east_ = Eigen::Vector3d::Zero();
  Eigen::Matrix3d sum_ = Eigen::Matrix3d::Zero();
};

Eigen::Matrix3d air_covariance(
    const PppSession& session,
    const std::vector<PppAdjuster::Influence>& influences) {
  AirSum air;
  for (std::size_t k = session.epochs.size(); k-- > 0;) {
    const PppEpoch& epoch = session.epochs[k];
    for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      if (session.rows[i].modelled()) {
        air.add(session.rows[i], influences[i].phase + influences[i].code);
      }
    }
    if (k > 0) {
      air.step((epoch.time - session.epochs[k - 1].time).s);
    }
  }
  return air.sum();
}

std::size_t system_of(const PppRow& row) {
  return static_cast<std::size_t>(row.sat.system);
}

}  // namespace

PppMemory estimate_memory(const PppSession& session,
                          const PppNoise& noise,
                          const TermSet& without) {
  struct Last {
    GnssTime time;
    double phase = 0, code = 0;
    bool any = false;
  };
  constexpr double kLagS = 90;
  std::vector<Last> last(SatId::kIndexCount);
  double phase_product = 0, phase_square = 0, code_product = 0, code_square = 0;
  int pairs = 0;
  for (const PppEpoch& epoch : session.epochs) {
    for (const PppRow& r : session.rows_of(epoch)) {
      if (!r.phase_used() || !r.code_used() ||
          !std::isfinite(r.phase_residual_m)) {
        continue;
      }
      Last& before = last[static_cast<std::size_t>(r.sat.index())];
      const double dt_s = before.any ? (epoch.time - before.time).s : 0;
      if (before.any && dt_s < kLagS) {
        continue;
      }
      const double phase = r.phase_residual_m / phase_sigma_m(r, without) /
                           noise.phase_factor[system_of(r)];
      const double code = r.code_residual_m / code_sigma_m(r, without) /
                          noise.code_factor[system_of(r)];
      if (before.any && dt_s < 2 * kLagS) {
        phase_product += phase * before.phase;
        phase_square += (phase * phase + before.phase * before.phase) / 2;
        code_product += code * before.code;
        code_square += (code * code + before.code * before.code) / 2;
        ++pairs;
      }
      before = {epoch.time, phase, code, true};
    }
  }
  PppMemory memory;
  constexpr int kFewestPairs = 500;
  if (pairs >= kFewestPairs) {
    const double decay = std::exp(kLagS / kPhaseMemoryS);
    memory.phase_share =
        std::clamp(decay * phase_product / phase_square, 0.1, 0.95);
    memory.code_share =
        std::clamp(decay * code_product / code_square, 0.1, 0.95);
  }
  return memory;
}

Eigen::Matrix3d covariance_with_memory(
    const PppSession& session,
    const std::vector<PppAdjuster::Influence>& influences,
    const PppNoise& noise,
    const PppMemory& memory,
    const TermSet& without) {
  const double slow_m = memory.integers ? kFixedM : kSlowM;
  const double power = memory.integers ? kFixedPower : kSlowPower;
  std::vector<SatelliteSums> sums(SatId::kIndexCount);
  for (const PppEpoch& epoch : session.epochs) {
    for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      const PppRow& r = session.rows[i];
      SatelliteSums& s = sums[static_cast<std::size_t>(r.sat.index())];
      if (r.phase_used()) {
        const double sigma =
            noise.phase_factor[system_of(r)] * phase_sigma_m(r, without);
        const Eigen::Vector3d v = influences[i].phase * sigma;
        s.white += (1 - memory.phase_share) * v * v.transpose();
        s.phase.add(epoch.time, v * std::sqrt(memory.phase_share));
        const double low = std::pow(
            std::max(0.05, std::sin(static_cast<double>(r.elevation_rad))),
            -power);
        s.slow.add(epoch.time, influences[i].phase * (slow_m * low));
      }
      if (r.code_used()) {
        const double sigma =
            noise.code_factor[system_of(r)] * code_sigma_m(r, without);
        const Eigen::Vector3d v = influences[i].code * sigma;
        s.white += (1 - memory.code_share) * v * v.transpose();
        s.code.add(epoch.time, v * std::sqrt(memory.code_share));
        s.constant.add(epoch.time, influences[i].code * kCodeConstantM);
      }
    }
  }
  Eigen::Matrix3d total = air_covariance(session, influences);
  for (const SatelliteSums& s : sums) {
    total += s.white + s.phase.sum() + s.code.sum() + s.slow.sum() +
             s.constant.sum();
  }
  return total;
}

}  // namespace stillpoint::solve

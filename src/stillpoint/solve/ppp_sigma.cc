#include "stillpoint/solve/ppp_sigma.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

// Memories [s] of multipath in phases and in codes.
constexpr double kPhaseMemoryS = 300, kCodeMemoryS = 300;
// Slow errors of a satellite's phases at the zenith [m]: orbit, clock, what the
// antennas' calibrations and the air leave; they last for hours and grow with
// the root of the cosecant.
constexpr double kSlowM = 0.008, kSlowS = 5'000;
// A code's own constant for a satellite and a day [m].
constexpr double kCodeConstantM = 0.3;
constexpr double kForeverS = 1e9;

// Sum of v_t v_t'^T exp(-|t - t'| / memory) over one satellite's rows.
class MemorySum {
 public:
  explicit MemorySum(double memory_s) : memory_s_(memory_s) {}
  void add(GnssTime t, const Eigen::Vector3d& v) {
    if (any_) {
      past_ *= std::exp(-(t - last_).s / memory_s_);
    }
    const Eigen::Matrix3d cross = v * past_.transpose();
    sum_ += v * v.transpose() + cross + cross.transpose();
    past_ += v;
    last_ = t;
    any_ = true;
  }
  [[nodiscard]] const Eigen::Matrix3d& sum() const { return sum_; }

 private:
  double memory_s_;
  GnssTime last_;
  bool any_ = false;
  Eigen::Vector3d past_ = Eigen::Vector3d::Zero();
  Eigen::Matrix3d sum_ = Eigen::Matrix3d::Zero();
};

struct SatelliteSums {
  MemorySum phase{kPhaseMemoryS}, code{kCodeMemoryS}, slow{kSlowS},
      constant{kForeverS};
  Eigen::Matrix3d white = Eigen::Matrix3d::Zero();
};

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
        const double low =
            1 / std::sqrt(std::max(
                    0.05, std::sin(static_cast<double>(r.elevation_rad))));
        s.slow.add(epoch.time, influences[i].phase * (kSlowM * low));
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
  Eigen::Matrix3d total = Eigen::Matrix3d::Zero();
  for (const SatelliteSums& s : sums) {
    total += s.white + s.phase.sum() + s.code.sum() + s.slow.sum() +
             s.constant.sum();
  }
  return total;
}

}  // namespace stillpoint::solve

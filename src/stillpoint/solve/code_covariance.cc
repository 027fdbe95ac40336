#include "stillpoint/solve/code_covariance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "stillpoint/gnss/satellite.h"

namespace stillpoint::solve {
namespace {

// Sum over pairs of epochs of one satellite under exponential memory, built up
// epoch by epoch: sum += g g' + g h' + h g', h carries what came before.
struct Memory {
  Unknowns carried = Unknowns::Zero();
  double last_s = 0;
  bool any = false;
};

void add_pairs(Memory& memory,
               const Unknowns& g,
               double t_s,
               double length_s,
               Eigen::Matrix4d& sum) {
  if (memory.any) {
    memory.carried *= std::exp((memory.last_s - t_s) / length_s);
  }
  sum += g * g.transpose() + g * memory.carried.transpose() +
         memory.carried * g.transpose();
  memory.carried += g;
  memory.last_s = t_s;
  memory.any = true;
}

// What a unit error of each row of an epoch does to the unknowns, its weight
// included and the eliminated clocks taken into account.
void row_effects(const CodeSession& session,
                 std::span<const CodeRow> rows,
                 const ErrorModel& model,
                 const Estimate& estimate,
                 std::vector<Unknowns>& effects) {
  std::array<Unknowns, kMaxGroups> mean;
  std::array<double, kMaxGroups> weight{};
  mean.fill(Unknowns::Zero());
  effects.resize(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const CodeRow& row = rows[i];
    const int c = estimate.column[row.sat_index];
    if (row.rejected || c < 0) {
      continue;
    }
    effects[i] = estimate.effect.leftCols<4>() * partials_of(row) +
                 estimate.effect.col(c);
    const double w = 1 / variance_m2(session, row, model);
    weight[row.group] += w;
    mean[row.group] += w * effects[i];
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const CodeRow& row = rows[i];
    if (row.rejected) {
      effects[i].setZero();
      continue;
    }
    const double w = 1 / variance_m2(session, row, model);
    effects[i] = w * (effects[i] - mean[row.group] / weight[row.group]);
  }
}

// Priors are observations with their own weight and their own sigma.
Eigen::Matrix4d prior_covariance(const ErrorModel& model,
                                 const Estimate& estimate) {
  const auto one = [&](int column, double sigma) -> Eigen::Matrix4d {
    const double weight = model.repetition / (sigma * sigma);
    const Unknowns g = weight * sigma * estimate.effect.col(column);
    return g * g.transpose();
  };
  Eigen::Matrix4d sum = one(3, kZenithPriorM);
  for (std::size_t s = 0; s < estimate.column.size(); ++s) {
    if (estimate.column[s] >= 0) {
      sum += one(estimate.column[s], model.constant_m[s / 100]);
    }
  }
  return sum;
}

}  // namespace

Eigen::Matrix4d session_covariance(const CodeSession& session,
                                   std::span<const CodeEpoch> epochs,
                                   const ErrorModel& model,
                                   const ErrorMemory& memory,
                                   const Estimate& estimate) {
  Eigen::Matrix4d white = Eigen::Matrix4d::Zero();
  Eigen::Matrix4d fast_sum = Eigen::Matrix4d::Zero();
  Eigen::Matrix4d slow_sum = Eigen::Matrix4d::Zero();
  Unknowns ionosphere = Unknowns::Zero();
  std::vector<Memory> fast(SatId::kIndexCount);
  std::vector<Memory> slow(SatId::kIndexCount);
  std::vector<Unknowns> effects;
  for (const CodeEpoch& epoch : epochs) {
    const auto rows = session.rows_of(epoch);
    row_effects(session, rows, model, estimate, effects);
    const double t_s = (epoch.time - epochs.front().time).s;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const CodeRow& row = rows[i];
      if (row.rejected) {
        continue;
      }
      ionosphere += row.ionosphere_m * effects[i];
      const Unknowns g =
          std::sqrt(variance_m2(session, row, model)) * effects[i];
      white += g * g.transpose();
      add_pairs(fast[row.sat_index], g, t_s, kFastS, fast_sum);
      add_pairs(slow[row.sat_index], g, t_s, kSlowS, slow_sum);
    }
  }
  const double rest = std::max(0.0, 1 - memory.fast - memory.slow);
  const Unknowns i = kIonosphereShare * ionosphere;
  return rest * white + memory.fast * fast_sum + memory.slow * slow_sum +
         prior_covariance(model, estimate) + i * i.transpose();
}

Eigen::Matrix3d epoch_covariance(const EpochFix& fix, double zenith_sigma_m) {
  const Eigen::Vector3d z = zenith_sigma_m * fix.zenith_effect;
  return fix.cofactor_m2 + z * z.transpose();
}

}  // namespace stillpoint::solve

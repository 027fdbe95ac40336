// Normal equations of a session and what they say.
#include <cmath>

#include "stillpoint/solve/code_adjust.h"

namespace stillpoint::solve {
namespace {

using Dense = Eigen::MatrixXd;

// Sums of one group at one epoch.
struct GroupSums {
  double weight = 0, residual = 0;
  Unknowns partials = Unknowns::Zero();
  std::vector<std::pair<int, double>> satellites;  // column, weight
};

struct System4 {
  Dense n;
  Eigen::VectorXd b;
  int rows = 0, clocks = 0;
};

// N += sum w p p' - W pm pm' for every group: the clock eliminated exactly.
void add_epoch(const CodeSession& session,
               std::span<const CodeRow> rows,
               const ErrorModel& model,
               const std::vector<int>& column,
               std::vector<GroupSums>& groups,
               System4& system) {
  for (GroupSums& g : groups) {
    g.weight = g.residual = 0;
    g.partials.setZero();
    g.satellites.clear();
  }
  for (const CodeRow& row : rows) {
    if (row.rejected) {
      continue;
    }
    const double w = 1.0 / variance_m2(session, row, model);
    const Unknowns p = partials_of(row);
    const int c = column[row.sat_index];
    const double l = static_cast<double>(row.residual_m);
    system.n.topLeftCorner<4, 4>() += w * p * p.transpose();
    system.n.block<4, 1>(0, c) += w * p;
    system.n(c, c) += w;
    system.b.head<4>() += w * l * p;
    system.b[c] += w * l;
    ++system.rows;
    GroupSums& g = groups[row.group];
    g.weight += w;
    g.residual += w * l;
    g.partials += w * p;
    g.satellites.emplace_back(c, w);
  }
  for (const GroupSums& g : groups) {
    if (g.satellites.empty()) {
      continue;
    }
    ++system.clocks;
    const double inverse = 1 / g.weight;
    const Unknowns mean = inverse * g.partials;
    system.n.topLeftCorner<4, 4>() -= mean * g.partials.transpose();
    system.b.head<4>() -= g.residual * mean;
    for (std::size_t i = 0; i < g.satellites.size(); ++i) {
      const auto [ci, wi] = g.satellites[i];
      system.n.block<4, 1>(0, ci) -= wi * mean;
      system.b[ci] -= wi * inverse * g.residual;
      for (std::size_t j = 0; j <= i; ++j) {
        const auto [cj, wj] = g.satellites[j];
        const double s = wi * wj * inverse;
        system.n(std::min(ci, cj), std::max(ci, cj)) -= s;
      }
    }
  }
}

std::vector<int> columns_of(const CodeSession& session,
                            std::span<const CodeEpoch> epochs,
                            int& count) {
  std::vector<int> column(SatId::kIndexCount, -1);
  count = 4;
  for (const CodeEpoch& epoch : epochs) {
    for (const CodeRow& row : session.rows_of(epoch)) {
      if (!row.rejected && column[row.sat_index] < 0) {
        column[row.sat_index] = count++;
      }
    }
  }
  return column;
}

void add_priors(const std::vector<int>& column,
                const ErrorModel& model,
                System4& system) {
  system.n(3, 3) += model.repetition / (kZenithPriorM * kZenithPriorM);
  for (std::size_t s = 0; s < column.size(); ++s) {
    if (column[s] >= 0) {
      const double sigma = model.constant_m[s / 100];
      system.n(column[s], column[s]) += model.repetition / (sigma * sigma);
    }
  }
}

}  // namespace

Unknowns partials_of(const CodeRow& row) {
  return {-row.unit[0], -row.unit[1], -row.unit[2], row.zenith_factor};
}

double variance_m2(const CodeSession& session,
                   const CodeRow& row,
                   const ErrorModel& model) {
  const auto s = static_cast<std::size_t>(session.system_of(row));
  const double noise = static_cast<double>(row.noise_m);
  const double orbit = static_cast<double>(row.orbit_m);
  // Half of a broadcast ionosphere model's delay is its customary error.
  const double ionosphere = 0.4 * static_cast<double>(row.ionosphere_m);
  return model.noise_factor[s] * model.noise_factor[s] *
         (noise * noise + orbit * orbit + ionosphere * ionosphere);
}

std::optional<Estimate> solve_epochs(const CodeSession& session,
                                     std::span<const CodeEpoch> epochs,
                                     const ErrorModel& model) {
  int size = 4;
  Estimate estimate;
  estimate.column = columns_of(session, epochs, size);
  System4 system{.n = Dense::Zero(size, size),
                 .b = Eigen::VectorXd::Zero(size)};
  std::vector<GroupSums> groups(session.groups.size());
  for (const CodeEpoch& epoch : epochs) {
    add_epoch(session,
              session.rows_of(epoch),
              model,
              estimate.column,
              groups,
              system);
  }
  estimate.rows = system.rows;
  if (system.rows - system.clocks < 3) {
    return std::nullopt;
  }
  // The coordinates must be determined by the data, not by the priors.
  const Eigen::LDLT<Eigen::Matrix3d> geometry(
      Eigen::Matrix3d(system.n.topLeftCorner<3, 3>()));
  if (geometry.info() != Eigen::Success || !geometry.isPositive() ||
      geometry.rcond() < 1e-9) {
    return std::nullopt;
  }
  add_priors(estimate.column, model, system);
  const Dense full = system.n.selfadjointView<Eigen::Upper>();
  const Eigen::LDLT<Dense> ldlt(full);
  if (ldlt.info() != Eigen::Success || !ldlt.isPositive()) {
    return std::nullopt;
  }
  const Dense inverse = ldlt.solve(Dense::Identity(size, size));
  const Eigen::VectorXd x = inverse * system.b;
  if (!x.allFinite()) {
    return std::nullopt;
  }
  estimate.x = x.head<4>();
  estimate.effect = inverse.topRows<4>();
  estimate.constant_m.assign(SatId::kIndexCount, 0);
  estimate.constant_variance_m2.assign(SatId::kIndexCount, 0);
  for (std::size_t s = 0; s < estimate.column.size(); ++s) {
    const int c = estimate.column[s];
    if (c >= 0) {
      estimate.constant_m[s] = x[c];
      estimate.constant_variance_m2[s] = model.repetition * inverse(c, c);
    }
  }
  return estimate;
}

}  // namespace stillpoint::solve

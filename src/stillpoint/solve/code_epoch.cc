// One epoch by itself: position, cofactors, and its own search for outliers.
#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

#include "stillpoint/solve/code_adjust.h"

namespace stillpoint::solve {
namespace {

// Standardised residual beyond which a row of one epoch is dropped: two-sided
// test at 0.1 %, the customary choice of the w-test's author.
constexpr double kEpochLimit = 3.29;

struct Row {
  double weight = 0;
  double residual_m = 0;
  Unknowns partials;
  std::uint8_t group = 0;
  bool out = false;
};

struct Group {
  double weight = 0, residual_m = 0;  // weighted mean
  Unknowns partials = Unknowns::Zero();
  int count = 0;
};
using Groups = std::array<Group, kMaxGroups>;

Groups means_of(const std::vector<Row>& rows) {
  Groups groups{};
  for (const Row& row : rows) {
    if (row.out) {
      continue;
    }
    Group& g = groups[row.group];
    g.weight += row.weight;
    g.residual_m += row.weight * row.residual_m;
    g.partials += row.weight * row.partials;
    ++g.count;
  }
  for (Group& g : groups) {
    if (g.count > 0) {
      g.residual_m /= g.weight;
      g.partials /= g.weight;
    }
  }
  return groups;
}

struct Sums {
  Eigen::Matrix3d n = Eigen::Matrix3d::Zero();
  Eigen::Vector3d b = Eigen::Vector3d::Zero();
  Eigen::Vector3d zenith = Eigen::Vector3d::Zero();
  int rows = 0, clocks = 0;
};

Sums sums_of(const std::vector<Row>& rows, const Groups& groups) {
  Sums sums;
  for (const Row& row : rows) {
    if (row.out) {
      continue;
    }
    const Group& g = groups[row.group];
    const Unknowns a = row.partials - g.partials;
    const Eigen::Vector3d place = a.head<3>();
    sums.n += row.weight * place * place.transpose();
    sums.b += row.weight * (row.residual_m - g.residual_m) * place;
    sums.zenith += row.weight * a[3] * place;
    ++sums.rows;
  }
  for (const Group& g : groups) {
    sums.clocks += g.count > 0 ? 1 : 0;
  }
  return sums;
}

struct Worst {
  std::size_t row = 0;
  double standardised = 0;
};

// Largest standardised residual of the rows still in.
Worst find_worst(const std::vector<Row>& rows,
                 const Groups& groups,
                 const Eigen::Matrix3d& cofactor,
                 const Unknowns& x) {
  Worst worst;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Row& row = rows[i];
    if (row.out) {
      continue;
    }
    const Group& g = groups[row.group];
    const Unknowns a = row.partials - g.partials;
    const Eigen::Vector3d place = a.head<3>();
    const double v = row.residual_m - g.residual_m - a.dot(x);
    const double variance = 1 / row.weight;
    const double of_residual =
        variance - 1 / g.weight - place.dot(cofactor * place);
    if (of_residual < 1e-3 * variance) {
      continue;  // not controlled by any other row
    }
    const double standardised = std::abs(v) / std::sqrt(of_residual);
    if (standardised > worst.standardised) {
      worst = {i, standardised};
    }
  }
  return worst;
}

}  // namespace

std::optional<EpochFix> solve_epoch(const CodeSession& session,
                                    std::span<const CodeRow> rows,
                                    const ErrorModel& model,
                                    double zenith_m,
                                    bool reject_outliers) {
  std::vector<Row> own;
  own.reserve(rows.size());
  for (const CodeRow& row : rows) {
    const double constant =
        model.constant_m[static_cast<std::size_t>(session.system_of(row))];
    own.push_back(
        {.weight = 1 / (variance_m2(session, row, model) + constant * constant),
         .residual_m = static_cast<double>(row.residual_m),
         .partials = partials_of(row),
         .group = row.group});
  }
  const std::size_t may_drop = own.size() / 3;
  for (std::size_t dropped = 0;; ++dropped) {
    const Groups groups = means_of(own);
    const Sums sums = sums_of(own, groups);
    if (sums.rows - sums.clocks < 3) {
      return std::nullopt;
    }
    const Eigen::LDLT<Eigen::Matrix3d> ldlt(sums.n);
    if (ldlt.info() != Eigen::Success || ldlt.rcond() < 1e-9) {
      return std::nullopt;
    }
    const Eigen::Matrix3d cofactor = sums.n.inverse();
    const Eigen::Vector3d dx_m = cofactor * (sums.b - zenith_m * sums.zenith);
    const Unknowns x(dx_m.x(), dx_m.y(), dx_m.z(), zenith_m);
    const Worst worst = find_worst(own, groups, cofactor, x);
    if (!reject_outliers || worst.standardised <= kEpochLimit ||
        dropped >= may_drop) {
      return EpochFix{.dx_m = dx_m,
                      .cofactor_m2 = cofactor,
                      .zenith_effect = -cofactor * sums.zenith,
                      .satellites = sums.rows};
    }
    own[worst.row].out = true;
  }
}

}  // namespace stillpoint::solve

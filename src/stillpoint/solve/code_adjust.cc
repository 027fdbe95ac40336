#include "stillpoint/solve/code_adjust.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

// A row is an outlier of the day when it is this many of its own sigmas from
// the others. Common practice (3 to 6), no source.
constexpr double kDayLimit = 5.0;
constexpr int kMaxIterations = 20;

// Residual with the clock still in.
double misfit(const CodeRow& row, const Estimate& e) {
  return row.residual_m - partials_of(row).dot(e.x) -
         e.constant_m[row.sat_index];
}

// Working memory of mark_outliers, kept between epochs.
struct MarkWork {
  std::vector<double> misfit_m;
  std::array<std::vector<double>, kMaxGroups> by_group;
};

// Marks the rows of one epoch that are far from the median of their group.
int mark_outliers(const CodeSession& session,
                  std::span<CodeRow> rows,
                  const Estimate& estimate,
                  const ErrorModel& model,
                  MarkWork& work) {
  work.misfit_m.resize(rows.size());
  for (auto& group : work.by_group) {
    group.clear();
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    work.misfit_m[i] = misfit(rows[i], estimate);
    work.by_group[rows[i].group].push_back(work.misfit_m[i]);
  }
  std::array<double, kMaxGroups> centre{};
  for (std::size_t g = 0; g < session.groups.size(); ++g) {
    centre[g] = math::median_in_place(work.by_group[g]);
  }
  int rejected = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CodeRow& row = rows[i];
    if (work.by_group[row.group].size() < 3) {
      continue;  // two disagree: nobody knows which is wrong
    }
    const double off_m = work.misfit_m[i] - centre[row.group];
    row.rejected = off_m * off_m >
                   kDayLimit * kDayLimit * variance_m2(session, row, model);
    rejected += row.rejected ? 1 : 0;
  }
  return rejected;
}

int mark_all(CodeSession& session,
             const Estimate& estimate,
             const ErrorModel& model) {
  MarkWork work;
  int rejected = 0;
  for (const CodeEpoch& epoch : session.epochs) {
    rejected +=
        mark_outliers(session, session.rows_of(epoch), estimate, model, work);
  }
  return rejected;
}

// Noise factor of each system: root of the mean of squared standardised
// residuals, weighed by the redundancy that the clocks leave.
void estimate_noise(const CodeSession& session,
                    const Estimate& estimate,
                    ErrorModel& model) {
  std::array<double, kSystemCount> sum{};
  std::array<double, kSystemCount> redundancy{};
  EpochResiduals r;
  for (const CodeEpoch& epoch : session.epochs) {
    const auto rows = session.rows_of(epoch);
    epoch_residuals(session, rows, model, estimate, r);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i].rejected) {
        continue;
      }
      const auto s = static_cast<std::size_t>(session.system_of(rows[i]));
      sum[s] += r.v_m[i] * r.v_m[i] / r.variance_m2[i];
      redundancy[s] += r.redundancy[i];
    }
  }
  for (std::size_t s = 0; s < sum.size(); ++s) {
    if (redundancy[s] > 10) {
      const double factor =
          model.noise_factor[s] * std::sqrt(sum[s] / redundancy[s]);
      model.noise_factor[s] = std::clamp(factor, 0.1, 50.0);
    }
  }
}

// Size of each system's constants: expectation of their squares given the
// estimates (one step of expectation-maximisation).
void estimate_constants(const Estimate& estimate, ErrorModel& model) {
  constexpr double kLeastM = 0.1, kMostM = 10;
  std::array<double, kSystemCount> sum{};
  std::array<int, kSystemCount> count{};
  for (std::size_t s = 0; s < estimate.column.size(); ++s) {
    if (estimate.column[s] >= 0) {
      sum[s / 100] += estimate.constant_m[s] * estimate.constant_m[s] +
                      estimate.constant_variance_m2[s];
      ++count[s / 100];
    }
  }
  for (std::size_t i = 0; i < sum.size(); ++i) {
    if (count[i] >= 4) {
      model.constant_m[i] =
          std::clamp(std::sqrt(sum[i] / count[i]), kLeastM, kMostM);
    }
  }
}

// Position step that does not matter: a twentieth of the formal sigma, which
// counts every so-many-th epoch only.
double negligible_step_m(const Estimate& estimate, const ErrorModel& model) {
  const double trace = estimate.effect.leftCols<3>().topRows<3>().trace();
  return std::max(0.002, 0.05 * std::sqrt(model.repetition * trace));
}

// Noise levels within 5 %, sizes of the constants within 20 %.
bool is_settled(const ErrorModel& a, const ErrorModel& b) {
  for (std::size_t s = 0; s < kSystemCount; ++s) {
    if (std::abs(a.noise_factor[s] / b.noise_factor[s] - 1) > 0.05 ||
        std::abs(a.constant_m[s] / b.constant_m[s] - 1) > 0.2) {
      return false;
    }
  }
  return true;
}

}  // namespace

void epoch_residuals(const CodeSession& session,
                     std::span<const CodeRow> rows,
                     const ErrorModel& model,
                     const Estimate& estimate,
                     EpochResiduals& out) {
  std::array<double, kMaxGroups> weight{};
  std::array<double, kMaxGroups> mean{};
  std::array<int, kMaxGroups> size{};
  out.v_m.resize(rows.size());
  out.variance_m2.resize(rows.size());
  out.redundancy.resize(rows.size());
  out.group_size.resize(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    out.v_m[i] = misfit(rows[i], estimate);
    out.variance_m2[i] = variance_m2(session, rows[i], model);
    if (!rows[i].rejected) {
      const std::size_t g = rows[i].group;
      weight[g] += 1 / out.variance_m2[i];
      mean[g] += out.v_m[i] / out.variance_m2[i];
      ++size[g];
    }
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::size_t g = rows[i].group;
    out.group_size[i] = size[g];
    if (size[g] == 0) {
      out.v_m[i] = out.redundancy[i] = 0;
      continue;
    }
    out.v_m[i] -= mean[g] / weight[g];
    out.redundancy[i] =
        size[g] < 2 ? 0 : 1 - 1 / (out.variance_m2[i] * weight[g]);
  }
}

std::optional<Adjustment> adjust(CodeSession& session,
                                 ErrorModel& model,
                                 bool reject_outliers) {
  auto estimate = solve_epochs(session, session.epochs, model);
  if (!estimate) {
    return std::nullopt;
  }
  Adjustment result{.estimate = std::move(*estimate)};
  // The first look is lenient: the levels are not known yet.
  ErrorModel search = model;
  for (double& factor : search.noise_factor) {
    factor *= 3;
  }
  for (result.iterations = 1; result.iterations <= kMaxIterations;
       ++result.iterations) {
    const int before = result.rejected;
    if (reject_outliers) {
      result.rejected = mark_all(session, result.estimate, search);
    }
    estimate = solve_epochs(session, session.epochs, model);
    if (!estimate) {
      return std::nullopt;
    }
    const double step = (estimate->x - result.estimate.x).norm();
    result.estimate = std::move(*estimate);
    const ErrorModel last = model;
    estimate_noise(session, result.estimate, model);
    estimate_constants(result.estimate, model);
    search = model;
    if (result.iterations > 2 &&
        step < negligible_step_m(result.estimate, model) &&
        is_settled(model, last) &&
        std::abs(result.rejected - before) <= 2 + before / 50) {
      result.settled = true;
      break;
    }
  }
  return result;
}

}  // namespace stillpoint::solve

#include "stillpoint/math/sequential_normals.h"

#include <algorithm>

#include "stillpoint/core/check.h"

namespace stillpoint::math {
namespace {

constexpr double kSmallestPivot = 1e-12;

// Where the time goes. Every element by itself and without fused operations, so
// that the wider one gives the same numbers.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
__attribute__((target_clones("avx2", "default"), optimize("O3")))
#endif
void subtract_scaled(double* __restrict out,
                     const double* __restrict in,
                     double factor,
                     int count) {
  for (int k = 0; k < count; ++k) {
    out[k] -= factor * in[k];
  }
}

}  // namespace

void SequentialNormals::clear() {
  count_ = 0;
  ids_.clear();
  slot_.clear();
  eliminated_.clear();
  coefficients_.clear();
  coefficient_ids_.clear();
}

void SequentialNormals::grow() {
  // Never a power of two: rows would fall into the same lines of the cache.
  const Eigen::Index capacity =
      std::max<Eigen::Index>(40, 2 * normals_.rows() + 8);
  Eigen::MatrixXd normals = Eigen::MatrixXd::Zero(capacity, capacity);
  normals.topLeftCorner(count_, count_) =
      normals_.topLeftCorner(count_, count_);
  normals_ = std::move(normals);
  right_side_.conservativeResize(capacity);
  work_.resize(capacity);
}

UnknownId SequentialNormals::add_unknown() {
  if (count_ == normals_.rows()) {
    grow();
  }
  const auto id = static_cast<UnknownId>(slot_.size());
  slot_.push_back(count_);
  ids_.push_back(id);
  normals_.col(count_).head(count_ + 1).setZero();
  right_side_(count_) = 0;
  ++count_;
  return id;
}

void SequentialNormals::add_row(std::span<const RowEntry> row,
                                double value,
                                double weight) {
  for (const RowEntry& a : row) {
    const int i = slot_[a.id];
    const double weighted = weight * a.coefficient;
    right_side_(i) += weighted * value;
    double* const column = normals_.col(i).data();
    for (const RowEntry& b : row) {
      if (const int j = slot_[b.id]; j <= i) {
        column[j] += weighted * b.coefficient;
      }
    }
  }
}

void SequentialNormals::add_prior(UnknownId id, double value, double weight) {
  const int i = slot_[id];
  normals_(i, i) += weight;
  right_side_(i) += weight * value;
}

void SequentialNormals::add_step(UnknownId from,
                                 UnknownId to,
                                 double variance,
                                 double factor) {
  STILLPOINT_CHECK(variance > 0);
  const RowEntry row[] = {{from, -factor}, {to, 1.0}};
  add_row(row, 0, 1 / variance);
}

// Unknowns that were last observed long ago have nothing in common with the one
// that goes: their stretches are stepped over.
void SequentialNormals::find_runs(
    const Eigen::Ref<const Eigen::VectorXd>& row) {
  constexpr int kShortestGap = 8;
  runs_.clear();
  for (int c = 0; c < count_; ++c) {
    if (row(c) == 0) {
      continue;
    }
    if (runs_.empty() || c - runs_.back().end >= kShortestGap) {
      runs_.push_back({c, c + 1});
    } else {
      runs_.back().end = c + 1;
    }
  }
}

void SequentialNormals::eliminate(UnknownId id) {
  STILLPOINT_CHECK(is_active(id));
  // To the end, so that the rest stays one block.
  const int last = count_ - 1;
  const int i = slot_[id];
  if (i != last) {
    const int between = last - i - 1;
    normals_.col(i).head(i).swap(normals_.col(last).head(i));
    normals_.row(i)
        .segment(i + 1, between)
        .swap(normals_.col(last).segment(i + 1, between).transpose());
    std::swap(normals_(i, i), normals_(last, last));
    std::swap(right_side_(i), right_side_(last));
    const auto a = static_cast<std::size_t>(i);
    const auto b = static_cast<std::size_t>(last);
    std::swap(ids_[a], ids_[b]);
    slot_[ids_[a]] = i;
  }
  const double pivot = normals_(last, last);
  slot_[id] = -1;
  ids_.pop_back();
  --count_;
  Eliminated step{.id = id,
                  .first = static_cast<std::uint32_t>(coefficients_.size()),
                  .count = 0,
                  .value = 0};
  if (pivot > kSmallestPivot) {
    auto row = work_.head(count_);
    row = normals_.col(last).head(count_) / pivot;
    step.value = right_side_(last) / pivot;
    right_side_.head(count_).noalias() -= right_side_(last) * row;
    find_runs(row);
    for (const Run& columns : runs_) {
      for (int c = columns.first; c < columns.end; ++c) {
        const double factor = normals_(c, last);
        if (factor == 0) {
          continue;
        }
        for (const Run& rows : runs_) {
          if (rows.first > c) {
            break;
          }
          const int length = std::min(rows.end, c + 1) - rows.first;
          subtract_scaled(normals_.col(c).data() + rows.first,
                          row.data() + rows.first,
                          factor,
                          length);
        }
        coefficients_.push_back(row(c));
        coefficient_ids_.push_back(ids_[static_cast<std::size_t>(c)]);
      }
    }
    step.count = static_cast<std::uint32_t>(coefficients_.size()) - step.first;
  }
  eliminated_.push_back(step);
}

bool SequentialNormals::solve(std::span<const UnknownId> ids,
                              Eigen::VectorXd& values,
                              Eigen::MatrixXd& covariance) const {
  const Eigen::LLT<Eigen::MatrixXd, Eigen::Upper> llt(
      normals_.topLeftCorner(count_, count_));
  if (llt.info() != Eigen::Success) {
    return false;
  }
  const auto n = static_cast<Eigen::Index>(ids.size());
  Eigen::MatrixXd columns = Eigen::MatrixXd::Zero(count_, n);
  for (Eigen::Index c = 0; c < n; ++c) {
    columns(slot_[ids[static_cast<std::size_t>(c)]], c) = 1;
  }
  const Eigen::MatrixXd inverse = llt.solve(columns);
  values = inverse.transpose() * right_side_.head(count_);
  covariance.resize(n, n);
  for (Eigen::Index r = 0; r < n; ++r) {
    covariance.row(r) = inverse.row(slot_[ids[static_cast<std::size_t>(r)]]);
  }
  return true;
}

SequentialNormals::Active SequentialNormals::active() const {
  return {normals_.topLeftCorner(count_, count_), right_side_.head(count_)};
}

void SequentialNormals::restore(const Active& active) {
  STILLPOINT_CHECK(active.normals.rows() == count_);
  normals_.topLeftCorner(count_, count_) = active.normals;
  right_side_.head(count_) = active.right_side;
}

std::vector<double> SequentialNormals::walk_back(const Eigen::VectorXd& active,
                                                 bool with_right_sides) const {
  std::vector<double> values(slot_.size(), 0.0);
  for (int i = 0; i < count_; ++i) {
    values[ids_[static_cast<std::size_t>(i)]] = active(i);
  }
  for (auto step = eliminated_.rbegin(); step != eliminated_.rend(); ++step) {
    double value = with_right_sides ? step->value : 0;
    for (std::uint32_t k = step->first; k < step->first + step->count; ++k) {
      value -= coefficients_[k] * values[coefficient_ids_[k]];
    }
    values[step->id] = value;
  }
  return values;
}

std::vector<double> SequentialNormals::all_values() const {
  const Eigen::LLT<Eigen::MatrixXd, Eigen::Upper> llt(
      normals_.topLeftCorner(count_, count_));
  if (llt.info() != Eigen::Success) {
    return {};
  }
  return walk_back(llt.solve(right_side_.head(count_)), true);
}

std::vector<double> SequentialNormals::inverse_column(UnknownId id) const {
  STILLPOINT_CHECK(is_active(id));
  const Eigen::LLT<Eigen::MatrixXd, Eigen::Upper> llt(
      normals_.topLeftCorner(count_, count_));
  if (llt.info() != Eigen::Success) {
    return {};
  }
  Eigen::VectorXd unit = Eigen::VectorXd::Zero(count_);
  unit(slot_[id]) = 1;
  return walk_back(llt.solve(unit), false);
}

}  // namespace stillpoint::math

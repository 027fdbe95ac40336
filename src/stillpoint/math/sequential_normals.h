// Least squares in information form, one observation after the other: unknowns
// come, are observed, and are eliminated when nothing more will be said about
// them. What an elimination needs to be undone is kept, so that one backward
// walk gives every unknown of the whole problem its final value.
#pragma once

#include <Eigen/Dense>
#include <cstdint>
#include <span>
#include <vector>

namespace stillpoint::math {

// An unknown, by the order in which it was added.
using UnknownId = std::uint32_t;

struct RowEntry {
  UnknownId id = 0;
  double coefficient = 0;
};

class SequentialNormals {
 public:
  // A new unknown about which nothing is known yet.
  UnknownId add_unknown();

  // sum of coefficient * unknown = value, with a weight (1 / variance). All
  // unknowns must be active.
  void add_row(std::span<const RowEntry> row, double value, double weight);

  // unknown = value, with a weight.
  void add_prior(UnknownId id, double value, double weight);

  // The second unknown follows from the first by a random step: to = factor *
  // from + noise of the given variance > 0.
  void add_step(UnknownId from,
                UnknownId to,
                double variance,
                double factor = 1);

  // Takes an unknown out of the normals; its value comes back by all_values().
  // One without any information (pivot below 1e-12) becomes 0 and is left out.
  void eliminate(UnknownId id);

  [[nodiscard]] bool is_active(UnknownId id) const {
    return id < slot_.size() && slot_[id] >= 0;
  }
  [[nodiscard]] int active_count() const { return count_; }
  [[nodiscard]] std::size_t unknown_count() const { return slot_.size(); }

  // Values and covariance of some active unknowns as the observations so far
  // have them. False: the normals are singular.
  bool solve(std::span<const UnknownId> ids,
             Eigen::VectorXd& values,
             Eigen::MatrixXd& covariance) const;

  // Every unknown, eliminated ones included, by id. Empty: singular.
  //
  //   source   Gaussian elimination and back substitution; the information
  //            form of filter and smoother as in Bierman, "Factorization
  //            Methods for Discrete Sequential Estimation" (1977), chapters 2
  //            and 6 (from memory)
  [[nodiscard]] std::vector<double> all_values() const;

  // Column of the inverse normals of the whole problem that belongs to an
  // active unknown: its covariance with every unknown, by id. Empty: singular.
  [[nodiscard]] std::vector<double> inverse_column(UnknownId id) const;

  // What the observations so far say of the active unknowns, to come back to
  // after rows that were only tried.
  struct Active {
    Eigen::MatrixXd normals;
    Eigen::VectorXd right_side;
  };
  [[nodiscard]] Active active() const;
  // The same unknowns must be active as then.
  void restore(const Active& active);

  // Forgets everything, keeps the memory.
  void clear();

 private:
  struct Eliminated {
    UnknownId id = 0;
    std::uint32_t first = 0, count = 0;  // of coefficients_ and ids_
    double value = 0;                    // right-hand side over pivot
  };
  struct Run {
    int first = 0, end = 0;
  };
  void grow();
  // Stretches of a column that are not all zero, into runs_.
  void find_runs(const Eigen::Ref<const Eigen::VectorXd>& row);
  [[nodiscard]] std::vector<double> walk_back(const Eigen::VectorXd& active,
                                              bool with_right_sides) const;

  Eigen::MatrixXd normals_;     // upper half; capacity squared
  Eigen::VectorXd right_side_;  // capacity
  std::vector<UnknownId> ids_;  // of the active slots, count_ used
  std::vector<int> slot_;       // by id, -1: eliminated
  int count_ = 0;
  std::vector<Eliminated> eliminated_;
  std::vector<double> coefficients_;
  std::vector<UnknownId> coefficient_ids_;
  Eigen::VectorXd work_;
  std::vector<Run> runs_;
};

}  // namespace stillpoint::math

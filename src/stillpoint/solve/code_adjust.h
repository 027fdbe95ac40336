// Least squares on code rows of a session: position, what the a priori zenith
// delay lacks, and one constant for every satellite, with the clocks of every
// epoch and group eliminated.
//
// The satellite constants stand for what broadcast clocks, missing biases and
// missing antenna offsets get wrong for hours and days; they are held to zero
// by a prior whose size is estimated for each system.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/solve/code_rows.h"

namespace stillpoint::solve {

inline constexpr std::size_t kMaxGroups = 24;

// The antenna's shift from the reference in ECEF and what the a priori zenith
// delay lacks over the session [m].
using Unknowns = Eigen::Vector4d;

// How far the a priori zenith delay may be off, one sigma; it enters as an
// observation of zero. From memory: models/troposphere.h.
inline constexpr double kZenithPriorM = 0.06;

// What is assumed of the errors; estimated in turn with the unknowns.
struct ErrorModel {
  // Noise of each system over the a priori model of its rows.
  std::array<double, kSystemCount> noise_factor;
  // One sigma of its satellites' constants [m].
  std::array<double, kSystemCount> constant_m;
  // How many epochs are worth one independent one, for the weight of the
  // priors against the data.
  double repetition = 10;

  ErrorModel() {
    noise_factor.fill(1.0);
    constant_m.fill(0.5);
  }
};

// Variance of a row without its satellite's constant [m^2].
double variance_m2(const CodeSession& session,
                   const CodeRow& row,
                   const ErrorModel& model);

// Partial derivatives of a row's residual by the unknowns.
Unknowns partials_of(const CodeRow& row);

// What a run of epochs says.
struct Estimate {
  Unknowns x = Unknowns::Zero();
  std::vector<double> constant_m;  // by SatId::index(), 0 where none
  // Rows of the inverse normals that belong to the unknowns, 4 x (4 + n): how
  // each right-hand side moves them. Columns 4.. by `column`.
  Eigen::Matrix<double, 4, Eigen::Dynamic> effect;
  std::vector<double> constant_variance_m2;  // formal, by SatId::index()
  std::vector<int> column;                   // by SatId::index(), -1 where none
  int rows = 0;
};

// Solves a run of epochs, rejected rows left out; nothing when the geometry
// does not determine three coordinates.
std::optional<Estimate> solve_epochs(const CodeSession& session,
                                     std::span<const CodeEpoch> epochs,
                                     const ErrorModel& model);

// Residuals of one epoch with the clocks of its groups taken off, in the order
// of the rows; rejected rows get theirs too.
struct EpochResiduals {
  std::vector<double> v_m;
  std::vector<double> variance_m2;  // of the rows
  // Share of the row's variance that the clock's estimation leaves in its
  // residual, 0 for a row alone in its group.
  std::vector<double> redundancy;
  std::vector<int> group_size;  // rows of its group that are not rejected
};
void epoch_residuals(const CodeSession& session,
                     std::span<const CodeRow> rows,
                     const ErrorModel& model,
                     const Estimate& estimate,
                     EpochResiduals& out);

// Position, outliers, noise factors and sizes of the constants in turn until
// they settle. Marks rows rejected, updates the model.
struct Adjustment {
  Estimate estimate;
  int rejected = 0;
  int iterations = 0;
  bool settled = false;
};
std::optional<Adjustment> adjust(CodeSession& session,
                                 ErrorModel& model,
                                 bool reject_outliers);

// One epoch by itself with a given zenith correction, and with its own search
// for outliers (largest standardised residual first). Satellite constants
// count as noise here.
//
//   source   Baarda, "A testing procedure for use in geodetic networks" (1968),
//            w-test (from memory)
struct EpochFix {
  Eigen::Vector3d dx_m;
  Eigen::Matrix3d cofactor_m2;    // inverse normals
  Eigen::Vector3d zenith_effect;  // metres per metre of zenith delay
  int satellites = 0;             // that remained
};
std::optional<EpochFix> solve_epoch(const CodeSession& session,
                                    std::span<const CodeRow> rows,
                                    const ErrorModel& model,
                                    double zenith_m,
                                    bool reject_outliers);

}  // namespace stillpoint::solve
